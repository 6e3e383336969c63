"""A reminder as the farmer reads it: its label for a list, and the text that says how the job is done."""

from collections.abc import Mapping
from datetime import date
from typing import Final

from flows.texts import TEXTS
from flows.wording import Name, Phrase, Value
from service.agronomy.calendar import FLOWERS_OFF
from service.agronomy.plant_counts import seedlings_to_order
from service.core.model import Reminder
from service.use_cases.tools import Tools

LAST_WEEKS: Final = 3
_MULCH: Final = {"plastic": "mulch_plastic", "none": "mulch_none"}


def label(tools: Tools, reminder: Reminder, on: date) -> Phrase:
    """Return the short wording of a job."""
    return _phrase(tools, reminder, on, "label", {})


def full(tools: Tools, reminder: Reminder, on: date, farmer_name: str, place: int) -> Phrase:
    """Return the whole text of a job that stands at `place` in the farmer's list."""
    return _phrase(tools, reminder, on, "text", {"name": Name(farmer_name), "task": place})


def _wording_id(tools: Tools, reminder: Reminder, on: date, part: str) -> str:
    """Return the id of its wording: some tasks have another one at the end or for another mulch."""
    task = reminder.key.task
    if task == FLOWERS_OFF and 0 < _weeks_left(tools, reminder, on) <= LAST_WEEKS:
        return f"task.flowers_off_last.{part}"
    special = _MULCH.get(reminder.mulch_kind or "", task) if task == "mulch" else task
    text_id = f"task.{special}.{part}"
    return text_id if text_id in TEXTS else f"task.{task}.{part}"


def _weeks_left(tools: Tools, reminder: Reminder, on: date) -> int:
    return tools.calendar.for_bits(reminder.traits).flower_weeks_left(reminder.planted_on, on)


def _phrase(tools: Tools, reminder: Reminder, on: date, part: str, told: Mapping[str, Value]) -> Phrase:
    text_id = _wording_id(tools, reminder, on, part)
    wanted = TEXTS[text_id].placeholders
    if not wanted:
        # Most labels: a list is worded over and over until it fits.
        return Phrase(text_id)
    own = tools.calendar.for_bits(reminder.traits)
    first_from, first_to = own.first_fruit_between(reminder.planted_on, reminder.elevation_m)
    known: dict[str, Value] = {
        **told,
        "n": _weeks_left(tools, reminder, on),
        "date_from": first_from,
        "date_to": first_to,
        "amount": tools.programme.compost_handfuls,
        "seedlings": seedlings_to_order(tools.stand, reminder.plants).seedlings,
    }
    return Phrase(text_id, {name: value for name, value in known.items() if name in wanted})
