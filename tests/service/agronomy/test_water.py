"""What a plot needs in water: the crop coefficient, rain, litres, cans, minutes, and the least when water is short."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.traits import MulchKind
from service.agronomy.water import Day, Planting, easily_taken_mm, need, rain_counted_mm
from service.agronomy.water_figures import Crop, Soil, water_figures
from service.core.errors import Refused
from service.use_cases.plot_edits import WORDS

FULL_GROWN = 365


def plot(**more: float) -> Planting:
    """Return a plot of beds of 1 m with paths of 0.5 m, two rows 0.30 m apart in the row: 0.225 m2 a plant."""
    return Planting(age_days=FULL_GROWN, bed_m=1.0, path_m=0.5, rows=2, spacing_m=0.30, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("age", "expected"),
    [(0, 0.40), (30, 0.40), (105, 0.625), (180, 0.85), (500, 0.85), (1095, 0.75), (3000, 0.75)],
)
def test_the_crop_coefficient_follows_age(age: int, expected: float) -> None:
    """0.40, 0.85 and 0.75 are FAO-56, Table 12; the rise over months 2 to 6 is Clark et al., Florida."""
    assert expected == pytest.approx(water_figures().crop.coefficient(age))


@pytest.mark.parametrize(
    ("ages", "sentence"),
    [
        pytest.param((0, 30), "each age needs a coefficient", id="one short"),
        pytest.param((0, 30, 30), "ages must rise from 0", id="twice the same"),
        pytest.param((10, 30, 180), "ages must rise from 0", id="no beginning"),
    ],
)
def test_a_curve_that_makes_no_sense_is_refused(ages: tuple[int, ...], sentence: str) -> None:
    """Whoever changes the figures in the file is told what is wrong with them."""
    with pytest.raises(ValueError, match=sentence):
        Crop(ages=ages, coefficients=(0.4, 0.4, 0.85), source="invented")


@pytest.mark.parametrize(
    ("eto", "age", "expected"),
    [
        pytest.param(4.0, 0, 0.400, id="young"),
        pytest.param(4.0, 365, 0.850, id="full grown"),
        pytest.param(4.0, 1095, 0.750, id="old"),
        pytest.param(4.5, 365, 0.956, id="a hotter day"),
    ],
)
def test_litres_a_plant_by_drip(eto: float, age: int, expected: float) -> None:
    """ETo x Kc x ground / 0.9, worked out by hand from FAO-56's coefficients on 0.225 m2 a plant."""
    wanted = need(
        Planting(age_days=age, bed_m=1.0, path_m=0.5, rows=2, spacing_m=0.30, drip_l_h=1.0), Day(eto_mm=eto)
    )

    assert 0.225 == pytest.approx(wanted.ground_m2)
    assert expected == pytest.approx(wanted.full.litres_a_plant, abs=0.0005)
    assert expected * 60 == pytest.approx(wanted.full.minutes or 0, abs=0.03)
    assert wanted.full.cans is None


def test_cans_are_the_farmers_own() -> None:
    """250 plants of 4 mm x 0.85 x 0.225 m2 / 0.75 need 255 litres: 25.5 cans of 10, or 12.75 of 20."""
    small = need(plot(plants=250, can_l=10), Day(eto_mm=4)).full
    large = need(plot(plants=250, can_l=20), Day(eto_mm=4)).full

    assert [255, 25.5, 12.75] == pytest.approx([small.litres, small.cans, large.cans])
    assert small.minutes is None


@pytest.mark.parametrize(
    ("rain", "mulch", "soil", "expected"),
    [
        pytest.param(0, "none", "loam", 0, id="dry"),
        pytest.param(5, "none", "loam", 0, id="a shower"),
        pytest.param(8, "none", "loam", 3, id="what exceeds 5 mm"),
        pytest.param(60, "none", "loam", 6.5, id="as much as loam keeps for the roots"),
        pytest.param(60, "none", "sandy", 4.0, id="sand keeps less"),
        pytest.param(60, "straw", "clay_loam", 9.0, id="clay loam keeps more"),
        pytest.param(60, "plastic", "loam", 0, id="plastic sheds it"),
    ],
)
def test_what_of_the_rain_counts(rain: float, mulch: MulchKind, soil: Soil, expected: float) -> None:
    """The daily rule is common practice, no source; 4.0, 6.5 and 9.0 mm are worked out by hand from FAO-56."""
    assert expected == pytest.approx(rain_counted_mm(rain, mulch, soil))


def test_what_was_assumed_is_named() -> None:
    """Of a plot nothing is known of, all that was taken for it is named; of a known one nothing."""
    nothing = need(Planting(), Day(eto_mm=4))
    known = need(plot(mulch="straw", soil="loam", can_l=10), Day(eto_mm=4))  # type: ignore[arg-type]

    assert {
        "age_days": 365,
        "mulch": "none",
        "water_method": "can",
        "soil": "loam",
        "bed_m": 1.0,
        "path_m": 0.5,
        "rows": 2,
        "spacing_m": 0.30,
    } == nothing.assumed
    assert {} == known.assumed
    assert nothing.full.litres is None


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        pytest.param(
            {"spacing_m": 30},
            "spacing of plants in a row must lie between 0.05 and 2 metres, not 30:",
            id="centimetres",
        ),
        pytest.param({"plants": 0}, "number of plants must lie between 1 and", id="no plants"),
        pytest.param(
            {"age_days": -1},
            "age must lie between 0 and 3,650 days from planting, not -1",
            id="not planted yet",
        ),
        pytest.param({"can_l": 10, "drip_l_h": 1}, "by can or by drip: give one of the two", id="both"),
    ],
)
def test_impossible_plots_are_refused(change: dict[str, int], sentence: str) -> None:
    """A slip is told in one sentence that says what can be."""
    with pytest.raises(Refused, match=sentence):
        Planting(**change)  # type: ignore[arg-type]


@pytest.mark.parametrize(("eto", "rain"), [(-1, 0), (4, -1), (4, float("nan")), (101, 0)])
def test_impossible_days_are_refused(eto: float, rain: float) -> None:
    """Neither sky nor ground gives less than nothing."""
    with pytest.raises(Refused, match="must lie between 0 and"):
        Day(eto_mm=eto, rain_mm=rain)


def test_the_mulches_are_those_of_the_plots() -> None:
    """Whatever an officer can choose for a plot has its figures here."""
    assert set(WORDS["mulch_kind"]) == set(get_args(MulchKind)) == set(water_figures().mulch)
    assert set(get_args(Soil)) == set(water_figures().soil)


ETO = st.floats(min_value=0, max_value=12)
RAIN = st.floats(min_value=0, max_value=200)
MULCH: st.SearchStrategy[MulchKind] = st.sampled_from(get_args(MulchKind))
SOIL: st.SearchStrategy[Soil] = st.sampled_from(get_args(Soil))
AGE = st.integers(min_value=0, max_value=1095)


@given(ETO, RAIN, MULCH, SOIL, AGE)
def test_more_sun_needs_more_and_more_rain_less(
    eto: float, rain: float, mulch: MulchKind, soil: Soil, age: int
) -> None:
    """Water is never negative, the least never above the whole, and both follow the weather."""
    planting = Planting(age_days=age, mulch=mulch, soil=soil)
    wanted = need(planting, Day(eto_mm=eto, rain_mm=rain))
    hotter = need(planting, Day(eto_mm=eto + 1, rain_mm=rain))
    wetter = need(planting, Day(eto_mm=eto, rain_mm=rain + 1))
    bare = need(Planting(age_days=age, mulch="none", soil=soil), Day(eto_mm=eto))

    assert 0 <= wanted.least.litres_a_plant <= wanted.full.litres_a_plant <= hotter.full.litres_a_plant
    assert wetter.full.litres_a_plant <= wanted.full.litres_a_plant
    assert wanted.etc_mm <= bare.etc_mm
    assert wanted.rain_counted_mm <= min(rain, easily_taken_mm(soil))


def test_by_drip_of_unknown_flow_only_litres_are_known() -> None:
    """4.0 mm x 0.85 x 0.225 / 0.9 = 0.850 litres, as with a flow; minutes would need it."""
    wanted = need(plot(told_method="drip"), Day(eto_mm=4.0))  # type: ignore[arg-type] # no float, but a word

    assert pytest.approx(0.850) == wanted.full.litres_a_plant
    assert (None, None) == (wanted.full.cans, wanted.full.minutes)
    assert "water_method" not in wanted.assumed
