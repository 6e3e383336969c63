"""A farmer's whole season, day by day: nothing due is lost, and nobody is texted too often.

Every text day is played with every two and every three picking days, from before planting to the end of the
stand. The planting date is a Monday throughout: moving all weekdays alike changes nothing.
"""

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from itertools import combinations, product

import pytest

from flows.catalogue import load_catalogue
from scheduler.compose import Drop, Fits, OpenReminder, Reason, Text, compose, may_nudge
from service.agronomy.calendar import END, load_calendar
from service.agronomy.due import Due, PlotDays, picking_text_day, season, useful_until
from service.agronomy.rhythm import Rhythm, rhythm_of
from tests.depth import times

CALENDAR = load_calendar()
PLANTED = date(2026, 3, 2)
FIRST, LAST = PLANTED - timedelta(days=70), PLANTED + timedelta(days=END + 400)

CATALOGUE = load_catalogue()
LANGUAGES = ("en", "sw")
# The longest name a text greets by, see the catalogue's placeholders.
NAME = "Abcdefghijkl"
# One part in the GSM-7 alphabet, of which each letter of a list counts one: 3GPP TS 23.038 and 23.040.
ONE_PART = 160

TEXT_DAYS = range(7)
PICK_DAYS = [*combinations(range(7), 2), *combinations(range(7), 3)]
# All of them before a release, every third for each change.
SOME_PICK_DAYS = PICK_DAYS[:: times(1, each=3)]
PATTERNS = list(product(TEXT_DAYS, PICK_DAYS))


def _longest_label(task_id: str, language: str) -> int:
    """Return the length of a task's label; that of flower removal is longest when it counts down."""
    labels = [CATALOGUE.render(f"task.{task_id}.label", language, {})]
    if task_id == "flowers_off":
        labels.append(CATALOGUE.render("task.flowers_off_last.label", language, {"n": 3}))
    return max(map(len, labels))


def fits_one_part(language: str) -> Fits:
    """Return the question whether a list of jobs fits one part in the real wording of `language`."""
    frame = len(CATALOGUE.render("week_more", language, {"name": NAME, "jobs": ""}))
    places = {task.id: len("1 ") + _longest_label(task.id, language) for task in CALENDAR.tasks}

    def fits(jobs: Sequence[OpenReminder]) -> bool:
        return frame + sum(places[job.task_id] + len(" ") for job in jobs) - len(" ") <= ONE_PART

    return fits


def fits_both(jobs: Sequence[OpenReminder]) -> bool:
    """Say yes to what fits one part in every language: the fewest jobs a text can hold in any of them."""
    return all(fits(jobs) for fits in _FITS)


def three_at_most(jobs: Sequence[OpenReminder]) -> bool:
    """Say yes to three jobs only, the fewest that are promised to fit."""
    return len(jobs) <= 3


_FITS = tuple(fits_one_part(language) for language in LANGUAGES)


@dataclass
class Season:
    """One farmer's season as it was lived.

    Attributes:
        due: every reminder that fell due.
        texts: every text with its day.
        drops: every drop with its day.
        nudges: the days on which the farmer was asked after a text that was not answered.
        asked_after: the days of those texts.
    """

    due: list[OpenReminder] = field(default_factory=list)
    texts: list[tuple[date, Text]] = field(default_factory=list)
    drops: list[tuple[date, Drop]] = field(default_factory=list)
    nudges: list[date] = field(default_factory=list)
    asked_after: list[date] = field(default_factory=list)

    def capped_days(self) -> list[date]:
        """Return the days of texts under the cap, nudges too, in order."""
        return sorted([*(day for day, text in self.texts if not text.outside_cap), *self.nudges])


def _reminder(plots: Sequence[PlotDays], key: int, plot: int, due: Due) -> OpenReminder:
    task, planted_on = due.task, plots[plot].planted_on
    return OpenReminder(
        key=key,
        plot=plot,
        task_id=task.id,
        rank=task.rank,
        due_on=due.due_on,
        useful_until=useful_until(task, planted_on, due.due_on),
        last_day=planted_on + timedelta(days=task.last),
        min_gap=task.min_gap,
        outside_cap=task.outside_cap,
    )


def _as_of_now(open_: OpenReminder, asked: date | None, *, answers: bool) -> OpenReminder:
    answered = answers and asked is not None and open_.task_id == "flowers_stay"
    return replace(open_, last_texted=asked, answered=answered)


def play(
    plots: Sequence[PlotDays],
    fits: Fits,
    *,
    answers: bool = True,
    silent: Collection[date] = (),
    nudged: bool = False,
    change: tuple[date, PlotDays] | None = None,
) -> Season:
    """Live through the seasons of one farmer's plots.

    On `silent` days the service is out of order. A farmer who is `nudged` answers no text about jobs, ever. With
    `change` the farmer of one plot chooses other days on a day, see `service.use_cases.days`.
    """
    found = [(each, due) for each, plot in enumerate(plots) for due in season(CALENDAR, plot, FIRST, LAST)]
    found.sort(key=lambda pair: pair[1].due_on)
    lived = Season(due=[_reminder(plots, key, each, due) for key, (each, due) in enumerate(found)])
    again = _choose_days(lived, *change) if change else ()
    before, after = rhythm_of(CALENDAR, plots), rhythm_of(CALENDAR, [change[1]] if change else plots)
    coming = list(reversed(lived.due))
    waits: tuple[OpenReminder, ...] = ()
    asked: dict[tuple[int, str], date] = {}
    recent: list[date] = []
    day = FIRST
    while day < LAST:
        day += timedelta(days=1)
        rhythm = after if change and day >= change[0] else before
        waits = (*waits, *again) if change and day == change[0] else waits
        while coming and coming[-1].due_on <= day:
            waits = (*waits, coming.pop())
        if nudged and not waits and _nudge(lived, day, rhythm, recent):
            recent += [day]
        if not waits or day in silent:
            continue
        now = [_as_of_now(open_, asked.get((open_.plot, open_.task_id)), answers=answers) for open_ in waits]
        recent = [sent for sent in recent if (day - sent).days < 7]
        decided = compose(day, rhythm, now, recent, fits)
        recent += [day for text in decided.texts if not text.outside_cap]
        waits = decided.waits
        lived.texts += [(day, text) for text in decided.texts]
        lived.drops += [(day, drop) for drop in decided.drops]
        asked |= {(open_.plot, open_.task_id): day for text in decided.texts for open_ in text.reminders}
        if nudged and _nudge(lived, day, rhythm, recent):
            recent += [day]
    assert waits == ()
    return lived


def _nudge(lived: Season, day: date, rhythm: Rhythm, recent: Collection[date]) -> bool:
    """Ask once after a text under the cap two or three days old, as the service does once its day is written."""
    seven = [one for one in recent if (day - one).days < 7]
    old = {day - timedelta(days=2), day - timedelta(days=3)}
    asks_after = [sent for sent, text in lived.texts if sent in old and not text.outside_cap]
    fresh = [sent for sent in asks_after if sent not in lived.asked_after]
    if not fresh or not may_nudge(day, rhythm, seven):
        return False
    lived.asked_after.append(fresh[0])
    lived.nudges.append(day)
    return True


def _choose_days(lived: Season, day: date, chosen: PlotDays) -> tuple[OpenReminder, ...]:
    """Let what falls due after a day follow the days chosen then.

    Return what would have fallen due in the six days before it, and is planned on that day.
    """
    past = [open_ for open_ in lived.due if open_.due_on <= day]
    kept = {(open_.task_id, open_.due_on) for open_ in past}
    found = enumerate(season(CALENDAR, chosen, day - timedelta(days=6), LAST), start=100_000)
    new = [_reminder([chosen], key, 0, due) for key, due in found]
    again = [
        open_
        for open_ in new
        if open_.due_on <= day <= open_.useful_until and (open_.task_id, open_.due_on) not in kept
    ]
    lived.due = [*past, *(open_ for open_ in new if open_.due_on > day)]
    return tuple(again)


def _plot(text_day: int, pick_days: Sequence[int], planted_on: date = PLANTED) -> PlotDays:
    return PlotDays(
        planted_on=planted_on,
        text_day=text_day,
        picking_text_day=picking_text_day(text_day, pick_days),
        prompt_days=frozenset(pick_days),
    )


def _check_frequency(lived: Season) -> None:
    days = lived.capped_days()

    assert len(days) == len(set(days)), "two texts on one day"
    assert all((fourth - first).days >= 7 for first, fourth in zip(days, days[3:], strict=False)), (
        "four a week"
    )


def _check_accounts(lived: Season) -> None:
    texted = [open_.key for _, text in lived.texts for open_ in text.reminders]
    dropped = [drop.reminder.key for _, drop in lived.drops]

    assert Counter(open_.key for open_ in lived.due) == Counter(texted + dropped)


def _check_dates(lived: Season) -> None:
    for day, text in lived.texts:
        for open_ in text.reminders:
            assert open_.due_on <= day <= open_.useful_until
            assert open_.last_texted is None or (day - open_.last_texted).days >= open_.min_gap
    for day, drop in lived.drops:
        if drop.reason is Reason.ASKED_LATELY:
            assert drop.reminder.last_texted is not None
            assert (day - drop.reminder.last_texted).days < drop.reminder.min_gap


def _check_season(fits: Fits, text_day: int, pick_days: Sequence[int]) -> None:
    lived = play([_plot(text_day, pick_days)], fits)
    reasons = [drop.reason for _, drop in lived.drops]
    flowers = [day for day, text in lived.texts for open_ in text.reminders if open_.task_id == "flowers_off"]

    _check_frequency(lived)
    _check_accounts(lived)
    _check_dates(lived)
    assert {Reason.ANSWERED, Reason.ASKED_LATELY} >= set(reasons)
    # Only where the weekly jobs move to a picking day can two occurrences come too close together.
    assert reasons.count(Reason.ASKED_LATELY) <= 3
    assert reasons.count(Reason.ANSWERED) == 1
    # "This week" is over before flowers stay.
    assert max(flowers) <= PLANTED + timedelta(days=113)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize(("text_day", "pick_days"), PATTERNS[::19], ids=str)
def test_nothing_is_lost_in_a_season(language: str, text_day: int, pick_days: tuple[int, ...]) -> None:
    """Each reminder is texted, or dropped as answered or asked just before; never for want of room."""
    _check_season(fits_one_part(language), text_day, pick_days)


@pytest.mark.slow
@pytest.mark.parametrize("text_day", TEXT_DAYS)
def test_nothing_is_lost_whatever_the_days(text_day: int) -> None:
    """The same holds for every two and every three picking days, with no more jobs a text than any language bears."""
    for pick_days in SOME_PICK_DAYS:
        _check_season(fits_both, text_day, pick_days)


@pytest.mark.slow
@pytest.mark.parametrize("text_day", TEXT_DAYS)
def test_three_jobs_a_text_lose_nothing_before_the_end(text_day: int) -> None:
    """Even if no text held more than three jobs, only what falls due in the stand's last days is left out."""
    for pick_days in SOME_PICK_DAYS:
        lived = play([_plot(text_day, pick_days)], three_at_most)
        lost = [drop for _, drop in lived.drops if drop.reason not in {Reason.ANSWERED, Reason.ASKED_LATELY}]

        _check_frequency(lived)
        _check_accounts(lived)
        assert {Reason.TASK_OVER} >= {drop.reason for drop in lost}
        assert all(drop.reminder.due_on > PLANTED + timedelta(days=END - 14) for drop in lost)


OUTAGES = [
    pytest.param(start, length, id=f"day {start}, {length} days")
    for start, length in [
        (-50, 3),
        (30, 3),
        (58, 3),
        (118, 3),
        (128, 3),
        (143, 3),
        (400, 3),
        (30, 10),
        (700, 30),
    ]
]


@pytest.mark.parametrize(("start", "length"), OUTAGES)
def test_no_flood_after_an_outage(start: int, length: int) -> None:
    """After days of silence the cap holds, and only what spoilt meanwhile is dropped for its useful days."""
    silent = [PLANTED + timedelta(days=start + step) for step in range(length)]
    lived = play([_plot(0, (1, 4))], fits_one_part("sw"), silent=silent)
    spoilt = [drop.reminder for _, drop in lived.drops if drop.reason is Reason.USEFUL_DAYS_PASSED]

    _check_frequency(lived)
    _check_accounts(lived)
    _check_dates(lived)
    assert [] == [open_.task_id for open_ in spoilt if open_.useful_until not in silent]


def test_unanswered_question_about_flowers_is_asked_once_more() -> None:
    """Leaving the flowers on is so dear to miss that silence is asked again after three days, then never."""
    lived = play([_plot(2, (1, 4))], fits_one_part("sw"), answers=False)
    asked = [day for day, text in lived.texts if text.outside_cap]

    assert [PLANTED + timedelta(days=120), PLANTED + timedelta(days=123)] == asked


@pytest.mark.parametrize("younger_by", [0, 30, 100, 140, 160, 365])
def test_two_plots_keep_to_the_cap(younger_by: int) -> None:
    """A second, younger plot brings no more texts than the cap; every reminder is accounted for."""
    later = PLANTED + timedelta(days=younger_by)
    lived = play([_plot(1, (1, 4)), _plot(1, (1, 4), later)], fits_one_part("sw"))

    _check_frequency(lived)
    _check_accounts(lived)
    _check_dates(lived)


@pytest.mark.parametrize(("text_day", "pick_days"), PATTERNS[::11], ids=str)
def test_nothing_is_lost_for_a_nudge(text_day: int, pick_days: tuple[int, ...]) -> None:
    """Who never answers is asked once after a text, within the cap, and is told of every job all the same."""
    lived = play([_plot(text_day, pick_days)], fits_one_part("sw"), nudged=True)
    quiet = play([_plot(text_day, pick_days)], fits_one_part("sw"))

    _check_frequency(lived)
    _check_accounts(lived)
    _check_dates(lived)
    assert [(drop.reason, drop.reminder.key) for _, drop in quiet.drops] == [
        (drop.reason, drop.reminder.key) for _, drop in lived.drops
    ]
    assert lived.nudges
    assert len(lived.asked_after) == len(set(lived.asked_after))
    assert not set(lived.nudges) & {day for day, text in lived.texts if not text.outside_cap}


CHANGES = [
    pytest.param(age, text_day, pick_days, id=f"day {age} to {text_day} {pick_days}")
    for age, (text_day, pick_days) in zip(
        (20, 33, 61, 95, 122, 124, 131, 150, 163, 171, 205, 340, 611, 1002), PATTERNS[5::27], strict=False
    )
]


@pytest.mark.parametrize(("age", "text_day", "pick_days"), CHANGES)
@pytest.mark.parametrize("before", [_plot(0, (0, 3)), _plot(4, (1, 3, 5))], ids=["two", "three"])
def test_other_days_lose_nothing(
    before: PlotDays, age: int, text_day: int, pick_days: tuple[int, ...]
) -> None:
    """Whoever chooses other days is told of every job, once and never too often; only a prompt may fall to the cap."""
    change = PLANTED + timedelta(days=age), _plot(text_day, pick_days)
    lived = play([before], fits_one_part("sw"), change=change)

    _check_frequency(lived)
    _check_dates(lived)
    lost = [drop for _, drop in lived.drops if drop.reason is Reason.USEFUL_DAYS_PASSED]
    assert {Reason.ANSWERED, Reason.ASKED_LATELY, Reason.REPLACED} >= {
        drop.reason for _, drop in lived.drops if drop not in lost
    }
    # Old and new picking days together may be more than three in a week: then the cap wins over a prompt, and over
    # a job that was told only days before.
    told = [drop.reminder.last_texted or FIRST for drop in lost if drop.reminder.task_id != "picking"]
    assert all(change[0] - day < timedelta(days=7) for day in told)
    assert all(timedelta() <= drop.reminder.due_on - change[0] < timedelta(days=7) for drop in lost)
    assert len(lost) <= 3
