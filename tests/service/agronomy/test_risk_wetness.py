"""Grey mould and anthracnose, against what was published on wet hours and temperatures."""

from datetime import date
from typing import Final

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.agronomy.risk import Assumed, Basis, Conditions, Day, Hour, Level, Risk, Stage, Why
from service.agronomy.risk_figures import load_risk
from service.agronomy.risk_table import Judge
from service.agronomy.risk_wetness import anthracnose_risk, grey_mould_risk, is_wet

FIGURES = load_risk()
TODAY = date(2026, 4, 2)
ALL: Final = frozenset(Stage)

JUDGES: Final[dict[str, Judge]] = {"grey mould": grey_mould_risk, "anthracnose": anthracnose_risk}
judges = st.sampled_from(sorted(JUDGES)).map(JUDGES.__getitem__)
air = st.floats(min_value=-5, max_value=45)
hours_ = st.lists(st.none() | st.builds(Hour, air_c=air, leaf_wet=st.none() | st.booleans()), max_size=48)

DRY = Hour(air_c=20, leaf_wet=False)


def _wet(hours: int, air_c: float) -> list[Hour | None]:
    return [Hour(air_c=air_c, leaf_wet=True)] * hours


def _day(wet: list[Hour | None]) -> Conditions:
    """Fill some hours up to two days with dry ones."""
    hours = [*wet, *[DRY] * (48 - len(wet))]
    return Conditions(on=TODAY, hours=tuple(hours), stages=ALL)


def _grey(hours: int, air_c: float) -> Level:
    return grey_mould_risk(FIGURES, _day(_wet(hours, air_c))).level


def _anthracnose(hours: int, air_c: float) -> Level:
    return anthracnose_risk(FIGURES, _day(_wet(hours, air_c))).level


@pytest.mark.parametrize(
    ("hours", "air_c", "level"),
    [
        # UMass: infection from as little as 6 hours of wet leaves, best at 15.6 to 25 °C.
        pytest.param(5, 20, Level.NONE, id="too short"),
        pytest.param(6, 20, Level.WATCH, id="six hours"),
        pytest.param(6, 15.6, Level.WATCH, id="60 °F"),
        pytest.param(6, 25, Level.WATCH, id="77 °F"),
        # Twelve hours: common practice, no source.
        pytest.param(12, 20, Level.HIGH, id="twelve hours"),
        # Bulger, Ellis and Madden (1987): every flower infected after 24 wet hours at 20 °C.
        pytest.param(24, 20, Level.SEVERE, id="24 hours"),
        # The same: much less below 15 and above 25 °C.
        pytest.param(24, 10, Level.NONE, id="cool"),
        pytest.param(24, 28, Level.NONE, id="warm"),
    ],
)
def test_grey_mould(hours: int, air_c: float, level: Level) -> None:
    """Wet hours within the temperatures make the level."""
    assert level == _grey(hours, air_c)


@pytest.mark.parametrize(
    ("hours", "air_c", "level"),
    [
        # Wilson, Madden and Ellis (1990): none at 4 or 35 °C, over 80 % after 13 hours at 25 to 30 °C.
        pytest.param(48, 4, Level.NONE, id="4 °C"),
        pytest.param(48, 35, Level.NONE, id="35 °C"),
        pytest.param(13, 25, Level.HIGH, id="13 hours at 25 °C"),
        pytest.param(13, 30, Level.HIGH, id="13 hours at 30 °C"),
        pytest.param(12, 27, Level.WATCH, id="an hour less"),
        pytest.param(20, 22, Level.WATCH, id="cooler"),
        # Six hours: common practice, no source.
        pytest.param(6, 20, Level.WATCH, id="six hours"),
        pytest.param(5, 27, Level.NONE, id="too short"),
    ],
)
def test_anthracnose(hours: int, air_c: float, level: Level) -> None:
    """It likes it warmer than grey mould does."""
    assert level == _anthracnose(hours, air_c)


@given(st.integers(0, 48), air)
def test_grey_mould_is_worst_at_20_degrees(hours: int, air_c: float) -> None:
    """The optimum is about 20 °C: Bulger, Ellis and Madden (1987)."""
    assert _grey(hours, air_c) <= _grey(hours, 20)


@given(st.integers(0, 48), st.floats(min_value=-5, max_value=4))
def test_no_anthracnose_in_the_cold(hours: int, air_c: float) -> None:
    """Nothing was infected at 4 °C: Wilson, Madden and Ellis (1990)."""
    assert Level.NONE == _anthracnose(hours, air_c)


@given(judges, hours_, st.integers(0, 48), air)
def test_one_more_wet_hour_is_never_less_of_a_risk(
    judge: Judge, hours: list[Hour | None], place: int, air_c: float
) -> None:
    """Longer wetness at any temperature does not lower the level once a day's hours are known."""
    before = _day(hours)
    more = [*hours[:place], Hour(air_c=air_c, leaf_wet=True), *hours[place:]]
    after = Conditions(on=TODAY, hours=(*more, *[DRY] * 48), stages=ALL)

    assert judge(FIGURES, after).level >= judge(FIGURES, before).level


def test_a_dry_hour_ends_a_spell() -> None:
    """Twice four wet hours are no eight; neither are they with an hour nobody knows between."""
    for between in (DRY, None):
        found = grey_mould_risk(FIGURES, _day([*_wet(4, 20), between, *_wet(4, 20)]))
        assert (Level.NONE, 4) == (found.level, found.reason.values["hours"])


def test_the_reason_names_hours_and_limits() -> None:
    """What a text will say stands in the reason."""
    found = grey_mould_risk(FIGURES, _day(_wet(14, 18)))

    assert (Basis.HOURS, Why.WET_HOURS, ()) == (found.basis, found.reason.why, found.assumed)
    assert {"hours": 14, "limit_hours": 12, "from_c": 15, "to_c": 25} == found.reason.values


@pytest.mark.parametrize(
    ("hour", "wet"),
    [
        pytest.param(Hour(air_c=20, leaf_wet=False, rain_mm=3), False, id="the sensor knows"),
        pytest.param(Hour(air_c=20, rain_mm=0.1), True, id="rain"),
        pytest.param(Hour(air_c=20, rain_mm=0), False, id="no rain"),
        # Wilcox and Seem (1994) counted hours above 80 and above 90 %; taking 90: common practice, no source.
        pytest.param(Hour(air_c=20, humidity_percent=90), True, id="humid air"),
        pytest.param(Hour(air_c=20, rain_mm=0, humidity_percent=89.9), False, id="drier air"),
        pytest.param(Hour(air_c=20), None, id="nobody knows"),
    ],
)
def test_what_counts_as_wet(hour: Hour, *, wet: bool | None) -> None:
    """A measured leaf is believed before the air."""
    assert wet is is_wet(FIGURES.wetness, hour)


def test_wetness_from_the_air_is_said() -> None:
    """So is an hour colder than anything that was tested, and that the stage was taken as there."""
    hours = (*[Hour(air_c=20, humidity_percent=95)] * 24, Hour(air_c=4, rain_mm=1))
    found = grey_mould_risk(FIGURES, Conditions(on=TODAY, hours=hours))

    assert (Assumed.DISEASE_STAGE, Assumed.WET_BY_AIR, Assumed.BEYOND_TESTED) == found.assumed
    assert Level.SEVERE == found.level


@pytest.mark.parametrize(
    ("judge", "stages"),
    [
        pytest.param("grey mould", ALL - {Stage.OPEN}, id="no open flower"),
        pytest.param("anthracnose", ALL - {Stage.FRUIT}, id="no fruit"),
    ],
)
def test_without_its_stage_there_is_no_risk(judge: str, stages: frozenset[Stage]) -> None:
    """A wet day does not hurt what is not there."""
    hours = tuple(_wet(48, 25))
    found = JUDGES[judge](FIGURES, Conditions(on=TODAY, hours=hours, stages=stages))

    assert (Level.NONE, Why.STAGE_ABSENT) == (found.level, found.reason.why)


def _by_day(day: Day, hours: list[Hour | None] | None = None) -> Risk:
    return grey_mould_risk(FIGURES, Conditions(on=TODAY, days=(day,), hours=tuple(hours or ()), stages=ALL))


@pytest.mark.parametrize(
    ("day", "level"),
    # A wet day: common practice, no source.
    [
        pytest.param(Day(on=TODAY, min_c=14, max_c=24, rain_mm=5), Level.WATCH, id="rain"),
        pytest.param(Day(on=TODAY, min_c=14, max_c=24, humidity_percent=90), Level.WATCH, id="humid"),
        pytest.param(Day(on=TODAY, min_c=14, max_c=24, rain_mm=4.9), Level.NONE, id="little rain"),
        pytest.param(Day(on=TODAY, min_c=5, max_c=20, rain_mm=300), Level.NONE, id="a cool day"),
        pytest.param(Day(on=TODAY, min_c=14, max_c=24), Level.UNKNOWN, id="no rain known"),
        pytest.param(Day(on=TODAY, min_c=14, rain_mm=9), Level.UNKNOWN, id="no maximum known"),
    ],
)
def test_without_hours_a_day_stands_in(day: Day, level: Level) -> None:
    """A day's figures are rough, marked so, and never say more than watch."""
    found = _by_day(day)

    assert level == found.level
    assert (Basis.NOTHING if level is Level.UNKNOWN else Basis.ROUGH_DAY) == found.basis


@given(judges, air, air, st.floats(0, 1000), st.floats(0, 100))
def test_a_day_never_says_more_than_watch(
    judge: Judge, one: float, other: float, rain_mm: float, humidity: float
) -> None:
    """However much it rained, how long the leaves were wet is not known."""
    day = Day(
        on=TODAY, min_c=min(one, other), max_c=max(one, other), rain_mm=rain_mm, humidity_percent=humidity
    )
    found = judge(FIGURES, Conditions(on=TODAY, days=(day,), stages=ALL))

    assert found.level <= Level.WATCH


def test_a_few_hours_show_a_risk_but_not_its_absence() -> None:
    """Eight known wet hours are a risk; eight dry ones leave it to the day, or open."""
    dry_day = Day(on=TODAY, min_c=14, max_c=24, rain_mm=0)
    wet_day = Day(on=TODAY, min_c=14, max_c=24, rain_mm=9)
    wet = _by_day(dry_day, _wet(8, 20))

    assert (Level.WATCH, Basis.HOURS) == (wet.level, wet.basis)
    assert Assumed.HOURS_MISSING in wet.assumed
    assert (Level.WATCH, Basis.ROUGH_DAY) == (
        _by_day(wet_day, [DRY] * 8).level,
        _by_day(wet_day, [DRY] * 8).basis,
    )
    assert Level.UNKNOWN == _by_day(Day(on=TODAY), [DRY] * 23).level
    assert Level.NONE == _by_day(wet_day, [DRY] * 24).level
