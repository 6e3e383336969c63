"""What salt costs, held to the model of Maas and Hoffman (1977) with the threshold and slope of Maas (1990)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.salinity import Salt, salt_loss, yield_percent
from service.core.errors import Refused


@pytest.mark.parametrize(
    ("soil", "expected"),
    [(0, 100), (1.0, 100), (1.5, 83.5), (2.0, 67), (2.5, 50.5), (3.0, 34), (4.04, 0), (8, 0)],
)
def test_yield_falls_above_the_threshold(soil: float, expected: float) -> None:
    """100 - 33 x (ECe - 1.0): Maas (1990), US Salinity Laboratory, herbaceous crops; worked out by hand."""
    assert expected == pytest.approx(yield_percent(soil))


def test_water_above_one_may_cost_yield() -> None:
    """Irrigation water above 1 dS/m could cut the yield: Bendixen (2004), California Agriculture 58(1)."""
    loss = salt_loss(Salt(water_ds_m=1.01))

    assert loss.warn
    assert loss.from_water


def test_clean_water_costs_nothing() -> None:
    """At 0.5 dS/m there is nothing to warn of."""
    assert not salt_loss(Salt(water_ds_m=0.5)).warn


def test_the_worse_of_two_measures_counts() -> None:
    """Soil that has gathered more than the water explains is believed, and the other way about."""
    assert (2.0, False) == (
        salt_loss(Salt(soil_ds_m=2, water_ds_m=1)).soil_ds_m,
        salt_loss(Salt(soil_ds_m=2)).from_water,
    )
    assert (3.0, True) == (
        (loss := salt_loss(Salt(soil_ds_m=1, water_ds_m=2))).soil_ds_m,
        loss.from_water,
    )


@pytest.mark.parametrize(
    ("measured", "sentence"),
    [
        pytest.param({}, "Give the conductivity of the soil or of the water", id="nothing"),
        pytest.param({"water_ds_m": 850}, r"between 0 and 60 dS/m \(1 dS/m is 1000", id="micro"),
        pytest.param(
            {"soil_ds_m": -1}, "conductivity of the soil must lie between 0 and 40 dS/m", id="negative"
        ),
    ],
)
def test_impossible_measures_are_refused(measured: dict[str, float], sentence: str) -> None:
    """Most often the meter shows microSiemens, and the sentence says so."""
    with pytest.raises(Refused, match=sentence):
        Salt(**measured)


@given(st.floats(min_value=0, max_value=40), st.floats(min_value=0, max_value=10))
def test_more_salt_never_bears_more(soil: float, more: float) -> None:
    """The yield stays between nothing and whole, and never rises with salt."""
    assert 0 <= yield_percent(soil + more) <= yield_percent(soil) <= 100
