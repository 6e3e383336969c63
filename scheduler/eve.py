"""The evening before a collection: one text asks how many kilos will come, with the jobs that are due beside it.

The picking reminder of a plot that follows a collection falls due on that evening. Its text takes the place of the
morning's and leaves in the late afternoon, when farmers are back from the field and before the quiet hours. Under a
spray's hold that lasts beyond the collection it asks nothing and says from when on may be picked.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from flows.states import State
from flows.wording import Name, Numbered, Phrase, Value
from scheduler.compose import OpenReminder
from service.agronomy.calendar import PICKING
from service.clock import local_instant
from service.core.collecting import Collection
from service.db.queries.waiting import Waiting

PARTS: Final = 2
_DAY: Final = timedelta(days=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Eve:
    """What is asked on an evening.

    Attributes:
        on: the day of the collection.
        free: the day from which on may be picked, where a spray holds the fruit back on the day of the collection.
    """

    name: str
    collection: Collection
    on: date
    free: date | None

    def opens(self, *, jobs: bool) -> dict[str, object] | None:
        """Return the question that the text opens; where it asks nothing, `jobs` beside it are one as in any list."""
        if self.free is not None:
            return {"state": State.JOBS, "data": {}} if jobs else None
        return {"state": State.ESTIMATE, "data": {"on": self.on.isoformat()}}

    def ends_at(self, zone: str) -> datetime:
        """Return from when on the text is of no use: the collection has begun."""
        return local_instant(self.on, self.collection.hour, zone)

    def phrase(self, jobs: Sequence[tuple[int, str]]) -> Phrase:
        """Return the text with these other jobs, by their numbers."""
        text_id = "collection_ask" if self.free is None else "collection_held"
        values: dict[str, Value] = {"name": self.name, "date": self.on}
        if self.free is None:
            values |= {"time": Phrase(f"hour.{self.collection.hour}"), "where": self.collection.place}
        else:
            values["date_free"] = self.free
        if not jobs:
            return Phrase(text_id, values)
        return Phrase(f"{text_id}_jobs", {**values, "jobs": Numbered(tuple(jobs))})


def eve_of(one: Waiting, day: date) -> Eve | None:
    """Return what a farmer is asked on the evening of `day`, None where no fruit is collected on the day after."""
    on = day + _DAY
    if one.collection is None or not one.collection.is_on(on):
        return None
    # A text names no plot: where one is held back, fruit of none is asked for.
    free = max((until for until in one.held.values() if until > on), default=None)
    return Eve(name=str(Name(one.name)), collection=one.collection, on=on, free=free)


def asks_about(eve: Eve | None, jobs: Sequence[OpenReminder]) -> bool:
    """Return whether a text of these jobs is the one that asks."""
    return eve is not None and any(job.task_id == PICKING for job in jobs)


def numbered(jobs: Sequence[Sequence[OpenReminder]]) -> Mapping[str, int]:
    """Return the number of each job beside the question, by its task: picking is the question and has none."""
    others = [same[0].task_id for same in jobs if same[0].task_id != PICKING]
    return {task: place for place, task in enumerate(others, start=1)}
