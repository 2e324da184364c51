"""Each method of lime reads all that it needs from a lab sheet, and its trail can be redone."""

import numpy as np
import pytest

from vrxapp.agronomy.critical_values import default_critical_value
from vrxapp.agronomy.lime_buffering import BufferFunction
from vrxapp.agronomy.lime_values import LimeChoices, LimeMethod
from vrxapp.agronomy.trail import told_for
from vrxapp.need_plans import CropPlan, LimePlan, PhosphorusPlan, Purpose
from vrxapp.prescription.sheet_needs import SheetPlans, sheet_need
from vrxapp.soil.quality_checks import quality_notes
from vrxapp.workflows.lab_sheets import lab_results

NAMES = (
    *("Sample", "Depth", "Texture", "pH (CaCl2)", "pH (water)", "Buffer pH (Mehlich)"),
    *("Buffer pH (Queensland)", "Exch Al", "ECEC", "OC", "Clay", "PHBC"),
)
HEADER = ",".join(NAMES) + "\n,,,,,,,cmol(+)/kg,cmol(+)/kg,%,%,{unit}\n"


@pytest.fixture
def need(tmp_path):
    """A function that works lime out for one sample of a whole sheet."""

    def worked(plan, *, carbon="1.5", capacity="2", unit="cmol H+/kg/pH"):
        path = tmp_path / "lime.csv"
        row = f"L1,0-10,clay loam,4.5,5.3,5.5,5.5,0.9,5,{carbon},25,{capacity}\n"
        path.write_text(HEADER.format(unit=unit) + row)
        plans = SheetPlans(
            CropPlan("wheat", 3.0), PhosphorusPlan(default_critical_value("wheat")), plan
        )
        return sheet_need(lab_results(path), plans, Purpose.LIME)

    return worked


def lime_plan(method, **choices):
    return LimePlan(method, LimeChoices(**choices), bulk_density_t_m3=1.4)


def words(found):
    return " ".join(sentence.text for sentence in told_for(found.trail, 0))


@pytest.mark.parametrize(
    "plan",
    [
        lime_plan(LimeMethod.MEASURED_BUFFERING, target_ph_cacl2=5.5),
        *(
            lime_plan(LimeMethod.ESTIMATED_BUFFERING, target_ph_cacl2=5.5, buffer_function=function)
            for function in BufferFunction
        ),
        lime_plan(LimeMethod.TEXTURE, target_ph_cacl2=5.5),
        lime_plan(LimeMethod.ALUMINIUM),
        lime_plan(LimeMethod.TOLERATED_ALUMINIUM, tolerated_aluminium_percent=5.0),
        lime_plan(LimeMethod.MEHLICH_BUFFER),
        lime_plan(LimeMethod.QUEENSLAND_BUFFER, target_ph_water=6.5),
        lime_plan(LimeMethod.ECEC_TABLE, target_ph_cacl2=5.5),
    ],
    ids=lambda plan: f"{plan.method}-{plan.choices.buffer_function}",
)
def test_every_method_and_estimate_works_from_a_whole_sheet(need, plan):
    found = need(plan)
    assert found.amount[0] > 0
    assert not found.reasons[0]


@pytest.mark.parametrize(("capacity", "unit"), [("2", "cmol H+/kg/pH"), ("20", "mmol H+/kg/pH")])
def test_a_measured_buffer_capacity_is_read_in_either_unit(need, capacity, unit):
    # 1 pH x 2 cmol/kg x 0.5004 g/cmol x 1,400 t of soil [rayment-lyons-2011, 16A1]
    plan = lime_plan(LimeMethod.MEASURED_BUFFERING, target_ph_cacl2=5.5)
    found = need(plan, capacity=capacity, unit=unit)
    assert found.amount[0] == pytest.approx(1.401, abs=5e-4)
    assert "The pH is 1 below the target of 5.5." in words(found)


def test_an_estimate_reads_the_clay_of_the_sheet(need):
    plan = lime_plan(
        LimeMethod.ESTIMATED_BUFFERING,
        target_ph_cacl2=5.5,
        buffer_function=BufferFunction.AITKEN_1990,
    )
    found = need(plan)
    # (0.9548 x 1.5 + 0.0111 x 25) x 0.5004 x 1.4 [aitken-1990]
    assert found.amount[0] == pytest.approx(1.198, abs=5e-4)
    assert "Clay is 25 %" in words(found)


def test_the_texture_rule_reads_the_organic_carbon_of_the_sheet(need):
    plan = lime_plan(LimeMethod.TEXTURE, target_ph_cacl2=5.5)
    told, untold = need(plan), need(plan, carbon="")
    assert told.amount[0] > untold.amount[0]
    assert "organic carbon is not known" in words(untold)
    assert "organic carbon is not known" not in words(told)


def test_the_aluminium_that_is_borne_can_be_checked_by_hand(need):
    plan = lime_plan(LimeMethod.TOLERATED_ALUMINIUM, tolerated_aluminium_percent=5.0)
    found = need(plan)
    assert "0.9 − 5 % of 5 = 0.65 cmol(+)/kg too much" in words(found)
    assert found.amount[0] == pytest.approx(1.3 * (0.9 - 0.25) * 0.9)  # Method 16B1


def test_a_sheet_without_what_the_method_reads_gets_no_lime(need):
    found = need(lime_plan(LimeMethod.MEASURED_BUFFERING, target_ph_cacl2=5.5), capacity="")
    assert np.isnan(found.amount[0])
    assert "pH buffer capacity" in found.reasons[0]


def test_a_buffer_capacity_in_the_smaller_unit_under_no_unit_is_queried(tmp_path):
    path = tmp_path / "phbc.csv"
    path.write_text("Sample,Depth (cm),pH (CaCl2),PHBC\nL1,0-10,4.5,20\n")
    (note,) = quality_notes(lab_results(path))
    assert "mmol(+)/kg/pH" in str(note)
