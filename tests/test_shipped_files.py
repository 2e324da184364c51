"""The sample farm and the icons travel inside the wheel and are found there."""

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

import vrxapp
from vrxapp.errors import InputFileError
from vrxapp.shipped_files import shipped_folder

CHECKOUT = Path(vrxapp.__file__).parent.parent


@pytest.fixture(scope="module")
def installed(tmp_path_factory):
    """A wheel of the checkout, unpacked as pip would."""
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation",
         "--disable-pip-version-check", "--wheel-dir", folder, CHECKOUT],
        check=True,
    )  # fmt: skip
    (wheel,) = folder.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder / "site")
    return folder / "site"


@pytest.mark.parametrize(
    ("name", "file"), [("sample_fields", "boundary.geojson"), ("icons", "vrxapp.svg")]
)
def test_an_installed_wheel_finds_its_files(installed, name, file):
    code = f"from vrxapp.shipped_files import shipped_folder; print(shipped_folder({name!r}))"
    found = subprocess.run(
        [sys.executable, "-P", "-c", code],
        env={"PYTHONPATH": str(installed)},
        cwd=installed.parent,
        check=True,
        capture_output=True,
        text=True,
    ).stdout.strip()
    assert Path(found).is_relative_to(installed)
    assert (Path(found) / file).is_file()


@pytest.mark.parametrize("name", ["sample_fields", "icons"])
def test_a_checkout_finds_its_own(name):
    assert shipped_folder(name) == CHECKOUT / name


def test_a_missing_folder_is_an_incomplete_installation():
    with pytest.raises(InputFileError, match="Install vrxapp again"):
        shipped_folder("no_such_folder")
