"""What follows when a weight counts or is taken back, and weights that a farmer tells an officer by voice.

A told weight has no text and no phone: the farmer's UNDO never reaches it. It is judged as one that is texted, and
asked about on the page before it counts. An officer takes it back with a reason, at any time.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Final

from flows.moves.harvests import OLDEST
from flows.moves.readings import HEAVIEST
from flows.plausible import Doubt, judge
from service.agronomy.calendar import PICKING
from service.core.errors import Refused
from service.core.model import HarvestState, Plot, ReminderKey
from service.core.ports import Work
from service.core.staff import Officer
from service.use_cases.audit import note
from service.use_cases.planting import after_void, after_weight
from service.use_cases.tools import Tools

_LOOK_BACK: Final = timedelta(days=3)


class WhyBack(StrEnum):
    """Why an officer takes a weight back; words of their own could name people, and the record is never emptied."""

    TYPED_WRONG = "typed_wrong"
    OTHER_DAY = "other_day"
    OTHER_PLOT = "other_plot"
    NOT_PICKED = "not_picked"


@dataclass(frozen=True, kw_only=True, slots=True)
class Told:
    """A weight as it was told: what was picked from a plot on a day."""

    on: date
    grams: int


class Unsure(Exception):
    """The weight may be a slip: it is asked about before it counts."""

    def __init__(self, doubt: Doubt, *, there: int | None) -> None:
        """Keep what is doubted; `there` is what the day has already, in grams."""
        super().__init__(f"the weight is in question: {doubt}")
        self.doubt = doubt
        self.there = there


def weight_counts(work: Work, tools: Tools, plot_id: int, on: date, now: datetime) -> None:
    """Let a weight that counts set the plot's prompts, and answer its picking prompt; it does not commit."""
    after_weight(work, tools, plot_id, on)
    waiting = _unanswered(work, plot_id, on - _LOOK_BACK, on)
    answered = _answered(work, plot_id, on - _LOOK_BACK, on)
    newest = _prompt_of(on, [key.due_on for key in (*waiting, *answered)])
    for key in waiting:
        if key.due_on == newest:
            work.reminders.mark_answered(key, "weight", now)


def weight_is_gone(work: Work, plot_id: int, on: date) -> None:
    """Undo what a weight had set; the picking prompt that only it had answered waits again. It does not commit."""
    after_void(work, plot_id)
    picked = {weight.on for weight in work.harvests.picked_since(plot_id, on - _LOOK_BACK)}
    around = on - _LOOK_BACK, on + _LOOK_BACK
    prompts = [key.due_on for find in (_unanswered, _answered) for key in find(work, plot_id, *around)]
    answering = {_prompt_of(day, prompts) for day in picked}
    for key in _answered(work, plot_id, on - _LOOK_BACK, on):
        if key.due_on not in answering:
            work.reminders.reopen(key)


def _prompt_of(picked_on: date, prompts: Sequence[date]) -> date | None:
    """Return the day of the prompt that a weight answers: the newest one, which may be some days back.

    An older one stays as it is: that picking was missed, or its weight is still to come.
    """
    return max((day for day in prompts if picked_on - _LOOK_BACK <= day <= picked_on), default=None)


def _unanswered(work: Work, plot_id: int, since: date, until: date) -> list[ReminderKey]:
    farmer_id = work.plots.the(plot_id).farmer_id
    found = (one.key for one in work.reminders.open_for(farmer_id, until, since))
    return [key for key in found if key.plot_id == plot_id and key.task == PICKING]


def _answered(work: Work, plot_id: int, since: date, until: date) -> Sequence[ReminderKey]:
    return work.reminders.answered_with(plot_id, PICKING, "weight", since, until)


def keep_told(
    work: Work,
    tools: Tools,
    officer: Officer,
    plot: Plot,
    told: Told,
    *,
    sure: bool,
    on: date,
    now: datetime,
    real_now: datetime,
) -> None:
    """Keep a weight that a farmer told an officer; `sure` once the officer has been asked about it.

    Raises:
        Refused: the day or the weight cannot be.
        Unsure: it may be a slip, or the day has a weight already.
    """
    if plot.closed_on is not None:
        raise Refused("This plot is closed: a weight goes to one that is still there.")
    if not on - OLDEST <= told.on <= on:
        raise Refused(f"A weight is of today or of the last {OLDEST.days} days: choose another day.")
    if told.grams >= HEAVIEST:
        raise Refused("That is more than a lorry carries: write kilos.")
    weights = work.harvests.weights(plot.id, on)
    there = weights.by_day.get(told.on)
    verdict = judge(told.grams, plot.plants, weights, age=(told.on - plot.planted_on).days)
    if not sure and (verdict.doubt is not Doubt.NONE or there is not None):
        raise Unsure(verdict.doubt, there=there)
    harvest_id = tools.ids.row()
    work.harvests.add(
        id=harvest_id,
        plot_id=plot.id,
        picked_on=told.on,
        grams=told.grams,
        state=HarvestState.COUNTED,
        inbound_id=None,
        phone_id=None,
        officer_id=officer.id,
        at=now,
    )
    work.sprays.flag_weights([plot.id])
    weight_counts(work, tools, plot.id, told.on, now)
    detail = {"harvest": harvest_id, "on": told.on, "grams": told.grams, "asked": sure}
    note(work, officer, "weight.told", f"plot:{plot.id}", detail, at=real_now)
    work.commit()


def take_told_back(
    work: Work, officer: Officer, plot: Plot, harvest_id: int, *, why: WhyBack, real_now: datetime
) -> None:
    """Take a weight back that an officer has entered; done twice it is done once.

    Raises:
        Refused: the plot has no such weight.
    """
    told = work.harvests.told(plot.id, harvest_id)
    if told is None:
        raise Refused("There is no weight here that an officer has entered: look at the list again.")
    if told.state == HarvestState.VOIDED:
        return
    work.harvests.void(harvest_id, None)
    weight_is_gone(work, plot.id, told.on)
    detail: Mapping[str, object] = {"harvest": harvest_id, "on": told.on, "grams": told.grams, "why": why}
    note(work, officer, "weight.taken_back", f"plot:{plot.id}", detail, at=real_now)
    work.commit()
