"""On which days a farmer is texted as a rule."""

import re
from datetime import date, timedelta

import pytest

from flows.catalogue import read_catalogues
from service.agronomy.calendar import load_calendar
from service.agronomy.due import PlotDays
from service.agronomy.rhythm import CAP, Rhythm, rhythm_of, spare_weekday

CALENDAR = load_calendar()
# A Monday.
PLANTED = date(2026, 3, 2)


def _plot(planted_on: date = PLANTED, *, picking_early: bool = False) -> PlotDays:
    return PlotDays(
        planted_on=planted_on,
        text_day=2,
        picking_text_day=4,
        prompt_days=frozenset({1, 4}),
        picking_early=picking_early,
    )


def _week(rhythm: Rhythm, age: int) -> set[int]:
    """Return the text days of the seven days from `age` on, as ages."""
    days = rhythm.text_days(PLANTED + timedelta(days=age), PLANTED + timedelta(days=age + 6))
    return {(day - PLANTED).days for day in days}


@pytest.mark.parametrize(
    ("weekdays", "expected"),
    [
        pytest.param(set(), None, id="none to begin with"),
        pytest.param({2}, 5, id="three days after the only one"),
        pytest.param({6}, 2, id="over the week's end"),
        pytest.param({0, 1}, 4, id="the middle of the longer stretch"),
        pytest.param({0, 3}, 5, id="the longer stretch may run over the week's end"),
        pytest.param({1, 5}, 3, id="or not"),
        pytest.param({0, 2, 4}, None, id="three fill the cap"),
    ],
)
def test_spare_weekday(weekdays: set[int], expected: int | None) -> None:
    """The spare day lies halfway through the longest stretch without a text."""
    assert expected == spare_weekday(weekdays)


@pytest.mark.parametrize(
    ("age", "expected"),
    [
        pytest.param(-30, {-26}, id="before planting"),
        pytest.param(70, {72}, id="young: Wednesdays"),
        pytest.param(126, {128, 130}, id="the first Friday when the jobs begin to move"),
        pytest.param(133, {135, 137}, id="the last Wednesday, on day 135"),
        pytest.param(140, {144}, id="moved: Fridays, and Tuesdays are not yet asked after"),
        pytest.param(147, {148, 151}, id="picking: Tuesdays and Fridays"),
        pytest.param(1092, {1093}, id="to the end"),
        pytest.param(1096, set(), id="and no further"),
    ],
)
def test_weekdays_follow_the_age_of_the_plot(age: int, expected: set[int]) -> None:
    """Text day, then the picking day the jobs moved to, then all picking days."""
    assert expected == _week(rhythm_of(CALENDAR, [_plot()]), age)


def test_early_weight_begins_the_picking_days() -> None:
    """A plot that bears early is asked on its picking days beside its text day."""
    assert {71, 72, 74} == _week(rhythm_of(CALENDAR, [_plot(picking_early=True)]), 70)


def test_an_early_weight_asks_from_the_day_of_planting_on() -> None:
    """The first day of a stand counts, and no day before it."""
    rhythm = rhythm_of(CALENDAR, [_plot(PLANTED + timedelta(days=1), picking_early=True)])

    assert rhythm.is_prompt_day(PLANTED + timedelta(days=1))
    assert not rhythm.is_prompt_day(PLANTED - timedelta(days=3))


def test_the_text_day_ends_six_days_after_the_jobs_moved() -> None:
    """What was due the day before they moved comes on the text day at the latest six days later, on day 135."""
    thursdays = PlotDays(planted_on=PLANTED, text_day=3, picking_text_day=4, prompt_days=frozenset({4}))
    rhythm = rhythm_of(CALENDAR, [thursdays])

    assert {129, 130} == _week(rhythm, 129)
    assert {137} == _week(rhythm, 136)


def test_plots_add_up() -> None:
    """An old plot's picking days and a young plot's text day are all text days."""
    rhythm = rhythm_of(CALENDAR, [_plot(), _plot(PLANTED + timedelta(days=200))])

    assert {267, 268, 270} == _week(rhythm, 266)


@pytest.mark.parametrize(
    ("age", "jobs_on", "asked_on", "prompt"),
    [
        pytest.param(135, 4, 4, False, id="the last Wednesday of the older plot's text days"),
        pytest.param(1095, 3, 3, True, id="the last day of the older plot, with picking"),
        pytest.param(1095, 3, 4, False, id="the last day of the older plot, with jobs alone"),
    ],
)
def test_another_plot_planted_on_a_plots_last_day_takes_nothing_from_it(
    *, age: int, jobs_on: int, asked_on: int, prompt: bool
) -> None:
    """What changes for one plot leaves the days of another as they are; here both days are the older plot's own."""
    day = PLANTED + timedelta(days=age)
    older = PlotDays(
        planted_on=PLANTED, text_day=2, picking_text_day=jobs_on, prompt_days=frozenset({asked_on})
    )
    younger = PlotDays(planted_on=day, text_day=6, picking_text_day=6, prompt_days=frozenset({6}))
    rhythm = rhythm_of(CALENDAR, [older, younger])

    assert (True, prompt) == (rhythm.is_text_day(day), rhythm.is_prompt_day(day))


@pytest.mark.parametrize(
    ("age", "prompt", "spare"),
    [
        pytest.param(72, False, False, id="young, Wednesday"),
        pytest.param(75, False, True, id="young, Saturday"),
        pytest.param(148, True, False, id="picking, Tuesday"),
        pytest.param(146, False, True, id="picking, Sunday"),
    ],
)
def test_kind_of_day(*, age: int, prompt: bool, spare: bool) -> None:
    """Picking days are known apart from other text days, and so is the spare day."""
    rhythm = rhythm_of(CALENDAR, [_plot()])
    day = PLANTED + timedelta(days=age)

    assert (prompt, spare) == (rhythm.is_prompt_day(day), rhythm.is_spare_day(day))


def test_a_week_has_its_text_days_and_the_spare_one() -> None:
    """Young plants: jobs on Wednesday, and Saturday for a week that needs one more text."""
    rhythm = rhythm_of(CALENDAR, [_plot()])
    days = rhythm.chances(PLANTED + timedelta(days=70), PLANTED + timedelta(days=76))

    assert [72, 75] == [(day - PLANTED).days for day in days]


def test_no_plots_no_text_days() -> None:
    """A farmer whose plots are all closed has no text day and no spare day."""
    rhythm = rhythm_of(CALENDAR, [])

    assert [] == list(rhythm.chances(PLANTED, PLANTED + timedelta(days=30)))


def test_last_day_of_a_stand_is_a_text_day_still() -> None:
    """Day 1095, here a Thursday, counts; the days after it do not."""
    thursdays = PlotDays(planted_on=PLANTED, text_day=3, picking_text_day=3, prompt_days=frozenset({3}))
    rhythm = rhythm_of(CALENDAR, [thursdays])

    assert {1095} == _week(rhythm, 1090)
    assert rhythm.is_prompt_day(PLANTED + timedelta(days=1095))
    assert set() == _week(rhythm, 1096)


@pytest.mark.parametrize("text_id", ["welcome_consent", "welcome_back_consent", "welcome_paper"])
@pytest.mark.parametrize("language", ["en", "sw"])
def test_farmers_agree_to_the_cap(text_id: str, language: str) -> None:
    """What farmers say yes to is what they are held to be texted at most."""
    words = read_catalogues()[language][text_id].text

    assert {str(CAP)} == set(re.findall(r"(?:most|SMS hadi) (\d+)", words))


@pytest.mark.parametrize("age", [-30, 0, 126, 131, 136, 147, 200, 1095, 1200])
def test_a_rhythm_that_begins_later_is_the_same_from_then_on(age: int) -> None:
    """A morning is decided from the days that come; those that are over need not be worked out."""
    plots = [_plot(), _plot(PLANTED + timedelta(days=200), picking_early=True)]
    day, end = PLANTED + timedelta(days=age), PLANTED + timedelta(days=1500)
    whole, later = rhythm_of(CALENDAR, plots), rhythm_of(CALENDAR, plots, day)

    assert [*whole.chances(day, end)] == [*later.chances(day, end)]
    assert [*whole.text_days(day, end)] == [*later.text_days(day, end)]
