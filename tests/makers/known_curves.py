"""Response curves at evenly spaced rates, for the tests and benchmarks of budgets."""

import numpy as np

PIECES = 24


def known_along(yield_at, highest_kg_ha, *, pieces=PIECES):
    """Rates from none to the highest, and the yield at each, as `SpendingChoices` takes them."""
    steps = np.linspace(0.0, 1.0, pieces + 1).reshape(-1, 1, 1)
    rates = steps * np.atleast_2d(np.asarray(highest_kg_ha, dtype=float))
    return rates, yield_at(rates)
