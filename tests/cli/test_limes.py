"""The limes at hand in the terminal: their price by what works, and a value from a sieve."""

import json
from dataclasses import replace

import pytest
from click.testing import CliRunner

from vrxapp.cli.main import vrxapp
from vrxapp.errors import MissingInputError, SoilInputError
from vrxapp.files.farm_file import read_farm, write_farm
from vrxapp.inputs.products import Material, Product
from vrxapp.workflows.sample_farm import sample_farm

LIMES = tuple(
    Product(
        name, name, 0.0, 0.0, 0.0, 0.0, price, "AUD",
        material=Material.LIMING_MATERIAL, effective_nv_percent=value,
    )
    for name, price, value in (("Coarse", 30.0, 50.0), ("Fine", 43.0, 86.9))
)  # fmt: skip


def run(*arguments):
    ended = CliRunner().invoke(vrxapp, [str(a) for a in arguments])
    if ended.exception is not None and not isinstance(ended.exception, SystemExit):
        raise ended.exception
    return ended


@pytest.fixture
def farm(tmp_path):
    path = tmp_path / "farm.gpkg"
    write_farm(replace(sample_farm(), products=LIMES), path)
    return path


def rows(farm, *given):
    said = json.loads(run("limes", "--farm", farm, *given, "--json").stdout)
    return {row["product"]: row for row in said}


def test_the_dearer_lime_may_be_the_cheaper_one(farm):
    found = rows(farm)
    assert list(found) == ["Fine", "Coarse"]
    # dpird-comparing-limes, Table 2: 43 ÷ 0.869 = 49.48 for a tonne that works
    assert found["Fine"]["cost_per_pure_tonne"] == pytest.approx(49.48, abs=0.01)
    assert found["Coarse"]["cost_per_pure_tonne"] == pytest.approx(60.0)
    told = run("limes", "--farm", farm).stdout
    assert "49.48 AUD" in told
    assert "bought, carted and spread" in told


def test_a_sieve_sets_the_value_and_only_save_keeps_it(farm):
    # dpird-comparing-limes, Table 1: 0.91 × 92 + 0.08 × 72 ÷ 2 + 0.01 × 62 × 0.2 = 86.7
    sieve = ("--product", "Coarse", "--sieve", "91:92,8:72,1:62")
    assert rows(farm, *sieve)["Coarse"]["effective_nv_percent"] == pytest.approx(86.7, abs=0.05)
    assert rows(farm)["Coarse"]["effective_nv_percent"] == 50.0
    run("limes", "--farm", farm, *sieve, "--moisture", 10, "--save")
    kept = next(p for p in read_farm(farm).products if p.key == "Coarse")
    assert kept.effective_nv_percent == 78.1  # 86.724 × 0.9 = 78.05, kept as it is shown


def test_the_mesh_form_is_read_too(farm):
    # rayment-lyons-2011, 16A1 note 1: fineness 85.28 %, here of a lime of 95 % with 13 % water
    given = ("--product", "Fine", "--mesh", "78.8,10,2.4,7.8", "--nv", 95, "--moisture", 13)
    value = rows(farm, *given)["Fine"]["effective_nv_percent"]
    assert value == 70.5  # 85.28 % × 95 % × 0.87 = 70.48, kept as it is shown


@pytest.mark.parametrize(
    ("given", "error", "said"),
    [
        (("--sieve", "91:92,8:72,1:62"), MissingInputError, "of no lime"),
        (("--product", "Fine"), MissingInputError, "one sieve analysis"),
        (("--product", "Fine", "--sieve", "91,8,1"), MissingInputError, "cannot read the sieve"),
        (("--product", "Fine", "--sieve", "91:92,8:72"), MissingInputError, "needs 3"),
        (("--product", "Fine", "--sieve", "50:92,8:72,1:62"), SoilInputError, "add up to 59"),
        (("--product", "Fine", "--mesh", "80,10,5,5"), MissingInputError, "neutralising value"),
    ],
)
def test_a_sieve_that_cannot_be_is_refused(farm, given, error, said):
    with pytest.raises(error, match=said):
        run("limes", "--farm", farm, *given)
