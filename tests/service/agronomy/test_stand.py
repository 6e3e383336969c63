"""Plants from beds and back, against published tables of plants on an acre."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.stand import (
    Assumed,
    Layout,
    load_stand,
    plants_on_beds,
    plants_on_ground,
    stand_of,
)
from service.core.errors import Refused

FIGURES = load_stand()

# Exact by definition of the yard: 1 ft = 0.3048 m, 1 in = 0.0254 m; 1 acre = 43,560 ft².
FOOT_M = 0.3048
INCH_M = 0.0254
ACRE_HA = 43_560 * FOOT_M**2 / 10_000

layouts = st.builds(
    Layout,
    bed_m=st.floats(min_value=0.3, max_value=2),
    path_m=st.floats(min_value=0, max_value=2),
    rows=st.integers(min_value=1, max_value=6),
    spacing_m=st.floats(min_value=0.1, max_value=1),
)


def _per_acre(pitch_m: float, rows: int, spacing_m: float) -> float:
    layout = Layout(bed_m=pitch_m / 2, path_m=pitch_m / 2, rows=rows, spacing_m=spacing_m)
    return layout.plants_per_ha * ACRE_HA


def test_an_acre_is_what_it_is_in_hectares() -> None:
    """The size of the acre that the published tables rest on: 0.404 685 642 ha."""
    assert pytest.approx(0.404_685_642, abs=1e-9) == ACRE_HA


@pytest.mark.parametrize(
    ("spacing_in", "published"),
    # NC State Extension, Regional Adaptation and Yields, Table 1: beds 5 ft apart, double rows; rounded there.
    [
        pytest.param(12, 17_500, id="12 in"),
        pytest.param(14, 15_000, id="14 in"),
        pytest.param(15, 14_000, id="15 in"),
    ],
)
def test_double_rows_on_an_acre(spacing_in: int, published: int) -> None:
    """The published plants an acre come out, to their rounding by 500."""
    found = _per_acre(5 * FOOT_M, 2, spacing_in * INCH_M)

    assert abs(found - published) < 100


@pytest.mark.parametrize(
    ("pitch_ft", "spacing_ft", "published"),
    [
        # Bailey, Farm and Garden Rule Book: 43,560 divided by the product in square feet.
        pytest.param(3, 2, 7_260, id="2 by 3 ft"),
        # A matted row, "a little under 5,500" in a second-hand copy; 5,445 by the same formula.
        pytest.param(4, 2, 5_445, id="4 ft by 24 in"),
    ],
)
def test_single_rows_on_an_acre(pitch_ft: float, spacing_ft: float, published: int) -> None:
    """The rule book's formula and ours are one."""
    assert published == round(_per_acre(pitch_ft * FOOT_M, 1, spacing_ft * FOOT_M))


# A table of plant population for any crop in rows, in a trade magazine of March 2021, Table 1: plants an acre.
ROW_CROPS = {
    34: (30_748, 26_356, 23_061, 20_499, 18_449, 15_374, 13_178),
    36: (29_040, 24_891, 21_780, 19_360, 17_424, 14_520, 12_446),
    38: (27_512, 23_581, 20_634, 18_341, 16_507, 13_756, 11_791),
}


@pytest.mark.parametrize("row_in", ROW_CROPS)
def test_row_crops_on_an_acre(row_in: int) -> None:
    """Every cell of a published table is met to the plant."""
    spacings_in = (6, 7, 8, 9, 10, 12, 14)
    found = tuple(round(_per_acre(row_in * INCH_M, 1, spacing * INCH_M)) for spacing in spacings_in)

    assert ROW_CROPS[row_in] == found


@pytest.mark.parametrize(
    ("layout", "ground_m2", "on_100_m2"),
    # Worked out by hand from the definition; the layouts are bed, path, rows, spacing.
    [
        ((1.0, 0.5, 2, 0.30), 0.2250, 444),
        ((1.0, 0.5, 2, 0.25), 0.1875, 533),
        ((1.0, 0.5, 2, 0.40), 0.3000, 333),
        ((0.6, 0.6, 2, 0.30), 0.1800, 555),
        ((1.2, 0.4, 3, 0.30), 0.1600, 625),
        ((1.2, 0.5, 4, 0.30), 0.1275, 784),
    ],
)
def test_metric_layouts(layout: tuple[float, float, int, float], ground_m2: float, on_100_m2: int) -> None:
    """Only whole plants are counted, and a plant that just fits does."""
    bed_m, path_m, rows, spacing_m = layout
    found = Layout(bed_m=bed_m, path_m=path_m, rows=rows, spacing_m=spacing_m)

    assert pytest.approx(ground_m2) == found.ground_per_plant_m2
    assert on_100_m2 == plants_on_ground(found, 100)


def test_beds_are_counted_row_by_row() -> None:
    """Three beds of 10.1 m with two rows at 30 cm hold 33 plants a row; ten metres at 25 cm exactly 40."""
    assert 3 * 2 * 33 == plants_on_beds(Layout(bed_m=1, path_m=0.5, rows=2, spacing_m=0.3), 3, 10.1)
    assert 40 == plants_on_beds(Layout(bed_m=1, path_m=0.5, rows=1, spacing_m=0.25), 1, 10)


def test_what_a_stand_needs() -> None:
    """Four hundred plants in three rows: 40 m of bed, two lines of drip, film over bed, sides and ends."""
    stand = stand_of(FIGURES, Layout(bed_m=1.2, path_m=0.4, rows=3, spacing_m=0.3), 400)

    assert pytest.approx((40, 64, 80, 42)) == (stand.bed_metres, stand.ground_m2, stand.drip_m, stand.film_m)
    assert pytest.approx(1.2 + 2 * (0.25 + 0.15)) == stand.film_width_m
    assert Assumed.BED_HEIGHT in stand.assumed


def test_a_bed_height_that_is_told_is_not_assumed() -> None:
    """A higher bed needs wider film."""
    stand = stand_of(FIGURES, Layout(bed_m=1, path_m=0.5, rows=2, spacing_m=0.3), 100, bed_height_m=0.3)

    assert pytest.approx(1.9) == stand.film_width_m
    assert Assumed.BED_HEIGHT not in stand.assumed


@given(layout=layouts, plants=st.integers(min_value=0, max_value=1_000_000))
def test_plants_to_ground_and_back(layout: Layout, plants: int) -> None:
    """The ground that a stand needs holds exactly that stand."""
    assert plants == plants_on_ground(layout, stand_of(FIGURES, layout, plants).ground_m2)


@given(layout=layouts, ground_m2=st.floats(min_value=0, max_value=100_000))
def test_no_plant_stands_outside(layout: Layout, ground_m2: float) -> None:
    """What fits on some ground needs no more than that, and one more plant would not fit."""
    plants = plants_on_ground(layout, ground_m2)
    needed = stand_of(FIGURES, layout, plants).ground_m2

    assert needed <= ground_m2 + 1e-6
    assert ground_m2 - 1e-6 <= needed + layout.ground_per_plant_m2


@given(
    layout=layouts, beds=st.integers(min_value=0, max_value=50), length_m=st.floats(min_value=0, max_value=99)
)
def test_beds_hold_no_more_than_their_ground(layout: Layout, beds: int, length_m: float) -> None:
    """Counting row by row loses less than one plant a row against counting by ground."""
    by_rows = plants_on_beds(layout, beds, length_m)
    by_ground = plants_on_ground(layout, beds * length_m * layout.pitch_m)

    assert by_rows <= by_ground <= by_rows + beds * layout.rows


@pytest.mark.parametrize(
    ("change", "word"),
    [
        pytest.param({"bed_m": 0}, "bed", id="no bed"),
        pytest.param({"bed_m": math.nan}, "bed", id="no number"),
        pytest.param({"path_m": -0.1}, "path", id="negative path"),
        pytest.param({"rows": 0}, "rows", id="no rows"),
        pytest.param({"spacing_m": 0}, "spacing", id="no spacing"),
        pytest.param({"spacing_m": 30}, "spacing", id="centimetres for metres"),
    ],
)
def test_impossible_layouts_are_refused(change: dict[str, float], word: str) -> None:
    """One sentence names what cannot be, before anything is divided by it."""
    good = {"bed_m": 1.0, "path_m": 0.5, "rows": 2, "spacing_m": 0.3}

    with pytest.raises(Refused, match=word):
        Layout(**{**good, **change})  # type: ignore[arg-type]  # rows among floats


def test_impossible_amounts_are_refused() -> None:
    """Neither less than nothing is planted, nor on less than nothing."""
    layout = Layout(bed_m=1, path_m=0.5, rows=2, spacing_m=0.3)

    with pytest.raises(Refused, match="Ground must lie"):
        plants_on_ground(layout, -1)
    with pytest.raises(Refused, match="number of plants"):
        stand_of(FIGURES, layout, -1)
    with pytest.raises(Refused, match="height of a bed"):
        stand_of(FIGURES, layout, 1, bed_height_m=25)
    with pytest.raises(Refused, match="number of beds"):
        plants_on_beds(layout, -1, 10)
    with pytest.raises(Refused, match="length of a bed"):
        plants_on_beds(layout, 1, math.inf)
