from decimal import Decimal

import pytest

from flows.inputs import Harvest, Number


def test_harvest_is_never_less_than_nothing() -> None:
    """A negative weight is refused when it is built."""
    with pytest.raises(ValueError, match="-1 g"):
        Harvest(grams=-1)


@pytest.mark.parametrize("value", ["NaN", "Infinity"])
def test_number_is_finite(value: str) -> None:
    """What no farmer can send is refused when it is built."""
    with pytest.raises(ValueError, match=value):
        Number(value=Decimal(value))
