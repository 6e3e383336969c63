"""How long picked fruit keeps, against what was published on it."""

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.cooling import DEFAULT_COOLING, Lain, keeps_days, load_cooling, shelf_life
from service.agronomy.figures import FiguresError
from service.core.errors import Refused

FIGURES = load_cooling()

temperatures = st.floats(min_value=0, max_value=45)
legs = st.lists(st.builds(Lain, hours=st.floats(min_value=0, max_value=100), at_c=temperatures), max_size=5)


@pytest.mark.parametrize(
    ("at_c", "days"),
    [
        # Rivera and Tong, Univ. Minnesota: 5 to 7 days if cooled at once and held at 0 °C.
        pytest.param(0, (5, 7), id="0 °C"),
        # Cornell, abstract: acceptable quality at 10 °C for up to about 4 days; the 2: common practice.
        pytest.param(10, (2, 4), id="10 °C"),
        # Common practice, no source: sell the same day.
        pytest.param(20, (0.5, 1), id="20 °C"),
    ],
)
def test_published_times(at_c: float, days: tuple[float, float]) -> None:
    """Fruit cooled at once keeps as long as published."""
    kept = shelf_life(FIGURES, [], at_c)

    assert pytest.approx(days) == keeps_days(FIGURES, at_c)
    assert pytest.approx(days) == kept.days_left
    assert (0, False) == (kept.used_percent, kept.cooled_late)


def test_life_follows_breath() -> None:
    """Fruit breathes out 12-20, 50-100 and 100-200 mg CO₂ a kilo and hour at 0, 10 and 20 °C.

    Shin et al., citing Mitcham (2004), second-hand. The life used a day must rise with it, and from 0 to 20 °C
    by no more than its widest ratio, 200 to 12.
    """
    rates = [1 / keeps_days(FIGURES, at_c)[0] for at_c in (0, 10, 20)]

    assert rates == sorted(rates)
    assert 100 / 20 <= rates[2] / rates[0] <= 200 / 12


def test_between_two_figures_the_logarithm_is_straight() -> None:
    """Halfway between 0 and 10 °C stands the geometric mean."""
    assert pytest.approx((math.sqrt(10), math.sqrt(28))) == keeps_days(FIGURES, 5)


def test_six_warm_hours_cost_more_than_six_cold_ones() -> None:
    """Six hours' delay at 30 °C spoils fruit (Nunes et al. 1995: half again the water lost, 14 to 22 % softer)."""
    late = shelf_life(FIGURES, [Lain(hours=6, at_c=30)], 0)
    soon = shelf_life(FIGURES, [Lain(hours=0.5, at_c=30), Lain(hours=5.5, at_c=0)], 0)

    assert (True, 6) == (late.cooled_late, late.hours_warm)
    assert (False, 0.5) == (soon.cooled_late, soon.hours_warm)
    assert late.days_left[1] < soon.days_left[1]
    assert late.sell_today
    assert not soon.sell_today


def test_the_hour_until_cooling_is_within_it() -> None:
    """Cooling is to start within an hour of harvest: Mitcham, USDA Handbook 66."""
    assert not shelf_life(FIGURES, [Lain(hours=1, at_c=25), Lain(hours=2, at_c=2)], 2).cooled_late
    assert shelf_life(FIGURES, [Lain(hours=1, at_c=25), Lain(hours=0.1, at_c=25)], 2).cooled_late


def test_what_lies_beyond_the_figures_is_said() -> None:
    """Above the warmest figure the last line goes on, and the answer says so."""
    assert pytest.approx((0.125, 0.25)) == keeps_days(FIGURES, 40)
    assert shelf_life(FIGURES, [Lain(hours=1, at_c=35)], 0).beyond_figures
    assert shelf_life(FIGURES, [], 31).beyond_figures
    assert not shelf_life(FIGURES, [Lain(hours=1, at_c=30)], 0).beyond_figures


@given(temperatures, temperatures)
def test_colder_keeps_no_shorter(one: float, other: float) -> None:
    """Neither end of the range rises with warmth, and the range never turns over."""
    colder, warmer = (keeps_days(FIGURES, at_c) for at_c in sorted((one, other)))

    assert colder[0] * (1 + 1e-9) >= warmer[0]
    assert colder[1] * (1 + 1e-9) >= warmer[1]
    assert warmer[0] <= warmer[1]


@given(legs, st.builds(Lain, hours=st.floats(min_value=0, max_value=100), at_c=temperatures), temperatures)
def test_time_never_comes_back(lain: list[Lain], more: Lain, kept_at_c: float) -> None:
    """Lying longer leaves no more days, and no fewer than none."""
    before = shelf_life(FIGURES, lain, kept_at_c)
    after = shelf_life(FIGURES, [*lain, more], kept_at_c)

    assert 0 <= after.days_left[0] <= after.days_left[1]
    assert after.days_left[0] <= before.days_left[0] + 1e-9
    assert before.used_percent <= after.used_percent + 1e-9 <= 100 + 1e-6


@given(st.floats(min_value=0, max_value=1), temperatures)
def test_a_share_of_its_life_is_a_share_of_its_life(share: float, at_c: float) -> None:
    """Fruit that lay for a share of its shortest time where it stays has the rest of it left."""
    days = keeps_days(FIGURES, at_c)[0]
    left = shelf_life(FIGURES, [Lain(hours=24 * days * share, at_c=at_c)], at_c).days_left[0]

    assert pytest.approx(days * (1 - share), abs=1e-9) == left


@pytest.mark.parametrize(
    ("hours", "at_c", "word"),
    [
        pytest.param(-1, 20, "Hours", id="negative hours"),
        pytest.param(math.nan, 20, "Hours", id="no number"),
        pytest.param(1, -0.5, "temperature", id="frozen"),
        pytest.param(1, 68, "temperature", id="Fahrenheit"),
    ],
)
def test_impossible_fruit_is_refused(hours: float, at_c: float, word: str) -> None:
    """One sentence names what cannot be."""
    with pytest.raises(Refused, match=word):
        Lain(hours=hours, at_c=at_c)


def test_impossible_stores_are_refused() -> None:
    """Nor is fruit kept frozen."""
    with pytest.raises(Refused, match="temperature"):
        shelf_life(FIGURES, [], -1)


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        pytest.param("days = [2, 4]", "days = [4, 2]", "shorter time", id="a range turned over"),
        pytest.param("days = [2, 4]", "days = [6, 8]", "keep longer", id="warmth that keeps"),
        pytest.param("at_c = 10", "at_c = 0", "must rise", id="twice the same"),
    ],
)
def test_senseless_figures_are_refused(tmp_path: Path, right: str, wrong: str, said: str) -> None:
    """A programme's own file cannot turn cold and warm round."""
    path = tmp_path / "own.toml"
    path.write_text(DEFAULT_COOLING.read_text(encoding="utf-8").replace(right, wrong, 1), encoding="utf-8")

    with pytest.raises(FiguresError, match=said):
        load_cooling(path)
