"""Matrix products hold to one thread inside the block, and have their own back after it."""

import numpy as np
import pytest
from threadpoolctl import threadpool_info

from vrxapp.ground.one_thread import one_matrix_thread


def threads():
    np.linalg.inv(np.eye(3))  # so that the library is loaded
    return [pool["num_threads"] for pool in threadpool_info() if pool["user_api"] == "blas"]


def test_one_thread_inside_and_as_before_after_it():
    before = threads()
    with one_matrix_thread():
        assert set(threads()) == {1}
    assert threads() == before


def test_the_threads_come_back_after_a_fault_too():
    before = threads()
    with pytest.raises(ZeroDivisionError), one_matrix_thread():
        _ = 1 / 0
    assert threads() == before
