"""Size classes and containers."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.cooling import load_cooling
from service.agronomy.packs import Container, Packed, classes_by_size, grams_in, packed, punnet_of
from service.core.errors import Refused

FIGURES = load_cooling()
containers = st.builds(Container, grams=st.integers(50, 60_000))


@pytest.mark.parametrize(
    ("diameter_mm", "classes"),
    # EU Reg. 843/2002, from a second-hand copy: Extra from 25 mm, classes I and II from 18 mm.
    [
        pytest.param(25, ("extra", "class_1", "class_2"), id="just extra"),
        pytest.param(24.9, ("class_1", "class_2"), id="just not"),
        pytest.param(18, ("class_1", "class_2"), id="just a class"),
        pytest.param(17.9, (), id="too small"),
    ],
)
def test_sizes(diameter_mm: float, classes: tuple[str, ...]) -> None:
    """The least diameter of a class belongs to it; wood strawberries have none."""
    assert classes == classes_by_size(FIGURES, diameter_mm)
    assert ("extra", "class_1", "class_2") == classes_by_size(FIGURES, diameter_mm, wood=True)


def test_a_punnet_nobody_weighed_is_assumed() -> None:
    """The usual punnet holds 250 g (common practice, no source): 16 fruits of 15 g, and not 17."""
    usual = punnet_of(FIGURES)

    assert (250, True) == (usual.grams, usual.assumed)
    assert Packed(full=0, left_grams=240) == packed(usual, 16 * 15)
    assert Packed(full=1, left_grams=5) == packed(usual, 17 * 15)
    assert (400, False) == (punnet_of(FIGURES, 400).grams, punnet_of(FIGURES, 400).assumed)


def test_flats_of_florida() -> None:
    """A flat of 10.25 lb is 4.649 kg: UF/IFAS CV229; ten pounds are 4,536 g (0.45359237 kg by definition)."""
    assert 4649 == grams_in(Container(grams=4_536), Decimal("1.025"))


@pytest.mark.parametrize(
    ("grams", "count", "expected"),
    [
        pytest.param(4_500, "2", 9_000, id="two buckets"),
        pytest.param(4_500, "2.5", 11_250, id="two and a half"),
        pytest.param(4_501, "0.5", 2_251, id="half a gram goes up"),
        pytest.param(4_500, "0", 0, id="none"),
    ],
)
def test_kilos_of_containers(grams: int, count: str, expected: int) -> None:
    """The farmer's own bucket is the measure."""
    assert expected == grams_in(Container(grams=grams), Decimal(count))


@given(containers, st.integers(0, 10**6))
def test_nothing_is_lost_in_packing(container: Container, grams: int) -> None:
    """Full containers and the rest weigh what there was, and the rest fills none."""
    found = packed(container, grams)

    assert grams == grams_in(container, Decimal(found.full)) + found.left_grams
    assert 0 <= found.left_grams < container.grams


@pytest.mark.parametrize("grams", [0, 49, 60_001])
def test_impossible_containers_are_refused(grams: int) -> None:
    """What holds less than a handful, or more than two people carry, was a slip."""
    with pytest.raises(Refused, match="container holds"):
        Container(grams=grams)


def test_an_own_punnet_of_nothing_is_refused() -> None:
    """A weight of 0 is a slip and does not stand for the usual punnet."""
    with pytest.raises(Refused, match="container holds"):
        punnet_of(FIGURES, 0)


def test_impossible_amounts_are_refused() -> None:
    """One sentence names what cannot be."""
    bucket = Container(grams=4_500)
    with pytest.raises(Refused, match="number of containers"):
        grams_in(bucket, Decimal(-1))
    with pytest.raises(Refused, match="Fruit to pack"):
        packed(bucket, -1)
    with pytest.raises(Refused, match="diameter"):
        classes_by_size(FIGURES, 0)
