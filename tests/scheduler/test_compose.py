"""What one farmer is texted on one day, case by case; whole seasons are played in tests/property."""

from collections.abc import Sequence
from datetime import date, timedelta

import pytest

from scheduler.compose import Day, OpenReminder, Reason, compose, may_nudge
from service.agronomy.rhythm import Phase, Rhythm

# A Wednesday, which is the text day of `YOUNG`; its spare day is Saturday.
TODAY = date(2026, 3, 4)
NAMES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def _rhythm(weekdays: set[int], spare: int | None = None, prompts: Sequence[int] = ()) -> Rhythm:
    phase = Phase(begins=date.min, weekdays=frozenset(weekdays), prompts=frozenset(prompts), spare=spare)
    return Rhythm(phases=(phase,))


YOUNG = _rhythm({2}, spare=5)
# Picking on Tuesdays and Fridays.
PICKING = _rhythm({1, 4}, spare=6, prompts=(1, 4))
# A young plot with Wednesdays beside one picked on Mondays, Thursdays and Fridays.
BOTH = _rhythm({0, 2, 3, 4}, prompts=(0, 3, 4))
# A stand of which Saturday, a spare day, is the last but one.
ENDING = Rhythm(
    phases=(
        *YOUNG.phases,
        Phase(begins=TODAY + timedelta(days=5), weekdays=frozenset(), prompts=frozenset(), spare=None),
    )
)


def _after(days: int) -> date:
    return TODAY + timedelta(days=days)


def _open(task_id: str = "scout", *, due: int = 0, until: int = 3, **more: object) -> OpenReminder:
    """Build a reminder that fell due `due` days from today and is useful until `until` days from today."""
    values: dict[str, object] = {
        "key": (task_id, due, more.get("plot")),
        "plot": 1,
        "rank": 2,
        "last_day": _after(900),
        **more,
    }
    return OpenReminder(task_id=task_id, due_on=_after(due), useful_until=_after(until), **values)  # type: ignore[arg-type]


def _any(jobs: Sequence[OpenReminder]) -> bool:
    return True


def _tell(decided: Day) -> tuple[list[list[str]], list[str]]:
    """Name the tasks of each text, and those that wait."""
    texts = [[open_.task_id for open_ in text.reminders] for text in decided.texts]
    return texts, [open_.task_id for open_ in decided.waits]


ON_WHICH_DAY = {
    # by name: rhythm, today, days texted before, useful until, and whether it is texted today
    "text day": (YOUNG, 0, [], 3, True),
    "other day with a chance to come": (YOUNG, 1, [], 3, False),
    "other day without one": (YOUNG, 1, [], 2, True),
    "other day, waits for the next text day": (YOUNG, 4, [], 7, False),
    "other day, text day comes too late": (YOUNG, 4, [], 6, True),
    "the day before the next text day": (YOUNG, 6, [], 7, False),
    "other day with the spare day to come": (YOUNG, 2, [], 3, False),
    "spare day in haste": (YOUNG, 3, [], 13, True),
    "spare day with a week to spare": (YOUNG, 3, [], 14, False),
    "spare day after the last text day": (ENDING, 3, [], 14, True),
    "texted already today": (YOUNG, 0, [0], 3, False),
    "three in the last seven days": (YOUNG, 0, [-6, -4, -2], 3, False),
    "the first of three is a week ago": (YOUNG, 0, [-7, -4, -2], 3, True),
    "extra text gives way to picking days": (PICKING, 5, [1, 2], 5, False),
    "extra text where the week has room": (PICKING, 4, [2], 4, True),
    "text day gives way to picking days": (BOTH, 0, [-2], 3, False),
    "picking day goes ahead": (BOTH, 1, [-2, 0], 1, True),
    "picking day keeps the cap too": (BOTH, 1, [-5, -2, 0], 1, False),
}


@pytest.mark.parametrize(
    ("rhythm", "today", "texted", "until", "expected"), ON_WHICH_DAY.values(), ids=ON_WHICH_DAY
)
def test_whether_today_is_a_day_for_a_text(
    *, rhythm: Rhythm, today: int, texted: list[int], until: int, expected: bool
) -> None:
    """A text goes on text days, in need on others, never beyond the cap nor at the cost of picking days."""
    waiting = _open(due=min(0, today), until=until)

    decided = compose(_after(today), rhythm, [waiting], [_after(days) for days in texted], _any)

    assert (([["scout"]], []) if expected else ([], ["scout"])) == _tell(decided)
    assert () == decided.drops


def test_what_falls_due_on_a_day_without_a_chance_goes_at_once() -> None:
    """A job that is useful for two days only, neither of them a text day, needs a text of its own."""
    hurried = _open(due=1, until=2)

    assert ([["scout"]], []) == _tell(compose(_after(1), YOUNG, [hurried], [], _any))


def test_the_job_in_most_haste_decides_for_all() -> None:
    """A job that has time rides along with one that has none."""
    jobs = [_open("weeds", rank=3, until=9), _open(until=2)]

    assert ([["scout", "weeds"]], []) == _tell(compose(_after(1), YOUNG, jobs, [], _any))


def test_nothing_open_nothing_said() -> None:
    """A day without reminders is an empty day."""
    assert Day(texts=(), drops=(), waits=()) == compose(TODAY, YOUNG, [], [], _any)


def test_what_speaks_of_picking_waits_for_the_end_of_a_hold() -> None:
    """What is useful longer than a spray holds comes then; what is not falls away at once and says why."""
    lasting = _open("first_fruit", until=9, held_until=_after(2))
    picking = _open("picking", until=0, held_until=_after(2))
    late = _open("first_fruit", until=6, held_until=_after(5))

    today = compose(TODAY, YOUNG, [lasting, picking, _open()], [], _any)

    assert ([["scout"]], ["first_fruit"]) == _tell(today)
    assert [("picking", Reason.HELD)] == [(drop.reminder.task_id, drop.reason) for drop in today.drops]
    assert [Reason.HELD] == [drop.reason for drop in compose(TODAY, YOUNG, [late], [], _any).drops]
    assert ([["first_fruit"]], []) == _tell(compose(_after(7), YOUNG, [lasting], [], _any))


def test_outside_the_cap_goes_alone_and_at_once() -> None:
    """A text outside the cap waits for no day and no room, and the shared text goes beside it."""
    stay = _open("flowers_stay", until=13, rank=1, outside_cap=True)

    any_day = compose(_after(1), YOUNG, [stay, _open()], [_after(0), _after(-2), _after(-3)], _any)
    text_day = compose(TODAY, YOUNG, [stay, _open()], [], _any)

    assert ([["flowers_stay"]], ["scout"]) == _tell(any_day)
    assert ([["flowers_stay"], ["scout"]], []) == _tell(text_day)
    assert [True, False] == [text.outside_cap for text in text_day.texts]


def test_order_is_rank_then_due_then_what_spoils_first() -> None:
    """Number 1 is what loses most if missed."""
    jobs = [
        _open("late", rank=3, due=-2, until=9),
        _open("spoils", rank=3, due=-2, until=5),
        _open("old", rank=3, due=-3, until=9),
        _open("light", rank=5, due=-4, until=1),
        _open("heavy", rank=1, due=0, until=9),
    ]

    assert ([["heavy", "old", "spoils", "late", "light"]], []) == _tell(compose(TODAY, YOUNG, jobs, [], _any))


@pytest.mark.parametrize(
    ("fits", "expected"),
    [
        pytest.param(lambda jobs: False, 3, id="three always fit"),
        pytest.param(lambda jobs: len(jobs) <= 5, 5, id="as many as fit"),
        pytest.param(_any, 9, id="never more than one digit can name"),
    ],
)
def test_how_many_jobs_a_text_holds(fits: object, expected: int) -> None:
    """What does not fit waits."""
    jobs = [_open(name, due=-place) for place, name in enumerate(reversed(NAMES))]

    texts, waits = _tell(compose(TODAY, YOUNG, jobs, [], fits))  # type: ignore[arg-type]

    assert ([list(NAMES[:expected])], 10 - expected) == (texts, len(waits))


def test_shorter_label_takes_the_room_a_longer_one_leaves() -> None:
    """A job that does not fit is passed over for a later one that does."""
    jobs = [_open(name, due=-9 + place) for place, name in enumerate(["a", "b", "c", "too long", "d"])]

    decided = compose(TODAY, YOUNG, jobs, [], lambda listed: all(len(job.task_id) < 5 for job in listed))

    assert ([["a", "b", "c", "d"]], ["too long"]) == _tell(decided)


def test_one_task_has_one_number_for_all_plots() -> None:
    """Two plots that need the same job take one place in the list, and the answer is about both."""
    jobs = [_open(plot=1), _open(plot=2, due=-1), _open("weeds", rank=4), _open("water", rank=3)]
    asked: list[int] = []

    def fits(listed: Sequence[OpenReminder]) -> bool:
        asked.append(len(listed))
        return True

    (text,) = compose(TODAY, YOUNG, jobs, [], fits).texts

    assert [[2, 1], [1], [1]] == [[open_.plot for open_ in job] for job in text.jobs]
    assert [] == asked


DROPPED = {
    # by name: the open reminders, and what is dropped of them and why
    "answered": ([_open(answered=True)], [("scout", Reason.ANSWERED)]),
    "useful days passed": ([_open(due=-4, until=-1)], [("scout", Reason.USEFUL_DAYS_PASSED)]),
    "task over": (
        [_open("flowers_off", due=-4, until=-1, last_day=_after(-1))],
        [("flowers_off", Reason.TASK_OVER)],
    ),
    "due again": ([_open(due=-2), _open(due=0)], [("scout", Reason.REPLACED)]),
    "asked yesterday": (
        [_open(min_gap=5, last_texted=_after(-1))],
        [("scout", Reason.ASKED_LATELY)],
    ),
    "outside the cap, asked yesterday": (
        [_open(min_gap=5, last_texted=_after(-1), outside_cap=True)],
        [("scout", Reason.ASKED_LATELY)],
    ),
}


@pytest.mark.parametrize(("jobs", "expected"), DROPPED.values(), ids=DROPPED)
def test_why_a_reminder_is_dropped(jobs: list[OpenReminder], expected: list[tuple[str, Reason]]) -> None:
    """Each drop says its reason, and what is dropped is neither texted nor kept."""
    decided = compose(TODAY, YOUNG, jobs, [], _any)
    left = [open_.key for text in decided.texts for open_ in text.reminders] + [o.key for o in decided.waits]

    assert expected == [(drop.reminder.task_id, drop.reason) for drop in decided.drops]
    assert [] == [drop for drop in decided.drops if drop.reminder.key in left]
    assert len(jobs) == len(decided.drops) + len(left)


@pytest.mark.parametrize(
    ("today", "expected"),
    [
        pytest.param(0, ([], ["weeds"]), id="too soon"),
        pytest.param(1, ([], ["weeds"]), id="over, but no text day"),
        pytest.param(7, ([["weeds"]], []), id="the next text day"),
    ],
)
def test_job_asked_lately_waits_for_a_text_day_in_time(today: int, expected: object) -> None:
    """A job asked nine days ago with a gap of ten goes on the next text day, if it is still useful then."""
    job = _open("weeds", until=14, min_gap=10, last_texted=_after(-9))

    assert expected == _tell(compose(_after(today), YOUNG, [job], [], _any))


def test_job_outside_the_cap_waits_for_its_gap() -> None:
    """The repeated question is not asked two days after a late first one, and needs no text day then."""
    repeat = _open("flowers_stay", until=1, min_gap=3, last_texted=_after(-2), outside_cap=True)

    assert ([], ["flowers_stay"]) == _tell(compose(TODAY, YOUNG, [repeat], [], _any))
    assert ([["flowers_stay"]], []) == _tell(compose(_after(1), YOUNG, [repeat], [], _any))


def test_a_task_is_texted_on_its_last_day_still() -> None:
    """The last day of a task is one of its days."""
    assert ([["scout"]], []) == _tell(compose(TODAY, YOUNG, [_open(until=0, last_day=TODAY)], [], _any))


WHEN_TO_NUDGE = {
    # by name: rhythm, today, days texted before, and whether an unanswered job may be asked after
    "two days after the text day": (YOUNG, 2, [0], True),
    "never on a text day": (YOUNG, 0, [], False),
    "never on the spare day": (YOUNG, 3, [0], False),
    "never beside another text": (YOUNG, 2, [2], False),
    "text day and spare day of a week to come": (YOUNG, 1, [0], True),
    "no fourth for a week with its text day and spare day": (YOUNG, 1, [0, -1], False),
    "nor a fourth for tomorrow's": (YOUNG, 2, [0, -1], False),
    "the first of them is a week ago": (YOUNG, 2, [0, -4], True),
    "picking days and the spare day fill the week": (PICKING, 5, [2], False),
}


@pytest.mark.parametrize(("rhythm", "today", "texted", "expected"), WHEN_TO_NUDGE.values(), ids=WHEN_TO_NUDGE)
def test_whether_a_farmer_may_be_asked_after_a_job(
    *, rhythm: Rhythm, today: int, texted: list[int], expected: bool
) -> None:
    """A nudge is the least of all texts: it gives way to each text that may come in its week."""
    days = [_after(each) for each in texted]

    assert expected is may_nudge(_after(today), rhythm, days)
