"""A reminder as the farmer reads it: its label for a list, and the text that says how the job is done."""

from datetime import date, timedelta
from typing import Final

from flows.texts import TEXTS
from flows.wording import FullDate, Name, Phrase, Value
from service.core.model import Reminder
from service.use_cases.tools import Tools

FLOWERS_OFF: Final = "flowers_off"
FLOWERS_STAY: Final = "flowers_stay"
LAST_WEEKS: Final = 3
_DAYS_A_MONTH: Final = 30.4
_MULCH: Final = {"plastic": "mulch_plastic", "none": "mulch_none"}


def label(tools: Tools, reminder: Reminder, on: date) -> Phrase:
    """Return the short wording of a job."""
    return _phrase(tools, reminder, on, f"task.{_wording_id(tools, reminder, on, 'label')}.label", "", 0)


def full(tools: Tools, reminder: Reminder, on: date, farmer_name: str, place: int) -> Phrase:
    """Return the whole text of a job that stands at `place` in the farmer's list."""
    return _phrase(
        tools, reminder, on, f"task.{_wording_id(tools, reminder, on, 'text')}.text", farmer_name, place
    )


def _wording_id(tools: Tools, reminder: Reminder, on: date, part: str) -> str:
    """Return the id its wording goes by: some tasks have another one at the end or for another mulch."""
    task = reminder.key.task
    if task == FLOWERS_OFF and 0 < _weeks_left(tools, reminder, on) <= LAST_WEEKS:
        return "flowers_off_last"
    special = _MULCH.get(reminder.mulch_kind or "", task) if task == "mulch" else task
    return special if f"task.{special}.{part}" in TEXTS else task


def _weeks_left(tools: Tools, reminder: Reminder, on: date) -> int:
    return tools.calendar.flower_weeks_left(reminder.planted_on, on)


def _flowers_stay_on(tools: Tools, reminder: Reminder) -> date:
    return reminder.planted_on + timedelta(days=tools.calendar.by_id[FLOWERS_STAY].first[0])


def _phrase(tools: Tools, reminder: Reminder, on: date, text_id: str, farmer_name: str, place: int) -> Phrase:
    first_from, first_to = tools.calendar.first_fruit_between(reminder.planted_on, reminder.elevation_m)
    known: dict[str, Value] = {
        "name": Name(farmer_name),
        "task": place,
        "n": _number(tools, reminder, on),
        "date": FullDate(_flowers_stay_on(tools, reminder)),
        "date_from": first_from,
        "date_to": first_to,
        "amount": tools.programme.compost_handfuls,
    }
    wanted = TEXTS[text_id].placeholders
    return Phrase(text_id, {name: value for name, value in known.items() if name in wanted})


def _number(tools: Tools, reminder: Reminder, on: date) -> int:
    """Return the figure a text names: weeks left for flowers, else the plants' age in months."""
    if reminder.key.task == FLOWERS_OFF:
        return _weeks_left(tools, reminder, on)
    return int((on - reminder.planted_on).days / _DAYS_A_MONTH)
