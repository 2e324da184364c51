"""From the settings of lime to its plan: nothing that was asked for is left out untold."""

import pytest

from vrxapp.agronomy.lime_upkeep import LimeUpkeep
from vrxapp.errors import MissingInputError
from vrxapp.workflows.operation_settings import LimeSettings, lime_plan_from


def test_maintenance_without_a_method_is_refused_and_not_passed_over():
    with pytest.raises(MissingInputError, match="goes beside a method"):
        lime_plan_from(LimeSettings(upkeep=LimeUpkeep("wheat_grain")))


def test_without_a_method_and_maintenance_there_is_no_plan():
    assert lime_plan_from(LimeSettings()) is None
