"""Smoothing and its errors against two libraries that others wrote: statsmodels and scipy (both BSD-3-Clause).

Both are in deploy/lock-oracles.txt.
"""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.signal import lfilter
from scipy.stats import t as student
from statsmodels.tsa.arima_process import arma2ma
from statsmodels.tsa.holtwinters import SimpleExpSmoothing

from service.agronomy.forecast_smoothing import Memory, eight_in_ten, smooth, sum_error

# They take seconds to load.
pytestmark = pytest.mark.slow

values = st.lists(st.floats(0, 1000), min_size=3, max_size=20)
shares = st.floats(0.05, 0.95)


@given(values, shares)
def test_a_level_that_stays_is_that_of_statsmodels(seen: list[float], newest: float) -> None:
    """Simple exponential smoothing begun with the first value: every error and every forecast is the same."""
    # Of a series that never errs statsmodels takes the logarithm of nothing.
    assume(max(seen) - min(seen) > 0.01)
    fitted = SimpleExpSmoothing(seen, initialization_method="known", initial_level=seen[0]).fit(
        smoothing_level=newest, optimized=False
    )
    memory = Memory(newest=newest, stays=1)
    found = smooth(seen, memory)

    assert found is not None
    # Their first error is that of the first value, which is the first level.
    assert pytest.approx(list(fitted.resid[1:]), abs=1e-6) == list(found.surprises)
    assert pytest.approx(list(fitted.forecast(3)), abs=1e-6) == [
        found.ahead(memory, week) for week in (1, 2, 3)
    ]


@given(values, shares, shares)
def test_a_level_that_returns_is_a_filter_of_scipy(seen: list[float], newest: float, stays: float) -> None:
    """The distance of the level from the mean is a linear filter of first order over those of the values."""
    memory = Memory(newest=newest, stays=stays)
    found = smooth(seen, memory)
    apart = np.array(seen) - np.mean(seen)
    keeps = stays * (1 - newest)
    levels, _ = lfilter([newest], [1, -keeps], apart[1:], zi=[keeps * apart[0]])

    assert found is not None
    assert pytest.approx(float(np.mean(seen) + levels[-1]), abs=1e-6) == found.level


@given(st.lists(st.floats(0, 100), min_size=1, max_size=6), shares, shares)
def test_errors_hang_together_as_in_an_arma(parts: list[float], newest: float, stays: float) -> None:
    """How far a surprise reaches is what statsmodels finds for the ARMA(1, 1) that the model is."""
    reach = arma2ma([1, -stays], [1, -stays * (1 - newest)], len(parts))
    counted = [
        sum(part * far for part, far in zip(parts[week:], reach, strict=False)) for week in range(len(parts))
    ]

    assert pytest.approx(math.hypot(*counted), abs=1e-6) == sum_error(
        parts, Memory(newest=newest, stays=stays)
    )


@pytest.mark.parametrize("freedom", range(1, 31))
def test_the_table_is_students_t(freedom: int) -> None:
    """Nine in ten lie below it, to its three decimals."""
    found = eight_in_ten([1.0] * (freedom - 1), 1.0, 1)

    assert pytest.approx(student.ppf(0.9, freedom), abs=0.0006) == found


def test_many_surprises_are_as_good_as_normal() -> None:
    """Above thirty degrees of freedom the normal value is too small by less than three in a hundred."""
    assert student.ppf(0.9, 31) / eight_in_ten([1.0] * 30, 1.0, 1) < 1.025
