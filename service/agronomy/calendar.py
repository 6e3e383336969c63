"""The crop calendar: which job a stand of strawberries needs, counted in days from planting.

The calendar is data. A TOML file names every task with its days, and this module turns the file into frozen
values or says in one sentence what is wrong with it. Day 0 is the planting day; days before it are negative.
When a task is due for one plot on one date is told by `service.agronomy.due`.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from functools import cached_property
from pathlib import Path
from typing import Annotated, Any, Final, Self

from pydantic import ConfigDict, Field, TypeAdapter, ValidationError, model_validator
from pydantic.dataclasses import dataclass

from service.agronomy.calendar_changes import ChangesError, merged, names_changes
from service.agronomy.tasks import END, WEEK, Rides, Task
from service.agronomy.traits import PlotTraits, every_kind, groups_named, traits_of
from service.core.errors import TrusslineError

# A calendar is asked for with its tasks and their measures.
__all__ = [
    "DEFAULT_CALENDAR",
    "END",
    "FLOWERS_OFF",
    "FLOWERS_STAY",
    "WEEK",
    "Calendar",
    "CalendarError",
    "FirstFruit",
    "Rides",
    "Task",
    "load_calendar",
    "load_for_place",
]

# From the second on the first is wrong, whatever the days of either are changed to.
FLOWERS_OFF: Final = "flowers_off"
FLOWERS_STAY: Final = "flowers_stay"
# The task that is done by telling a weight.
PICKING: Final = "picking"

DEFAULT_CALENDAR: Final = Path(__file__).with_name("data") / "calendar.toml"

_STRICT: Final = ConfigDict(extra="forbid")


class CalendarError(TrusslineError):
    """A calendar file cannot be used; the sentence names the file, the entry and what to do."""

    def __init__(self, path: Path, entry: str, fault: str) -> None:
        """Say that `entry` of the file at `path` has `fault`."""
        super().__init__(f"Crop calendar {path.name}, {entry}: {fault}. Correct the entry and start again.")
        self.path = path
        self.entry = entry


@dataclass(frozen=True, kw_only=True, config=_STRICT)
class FirstFruit:
    """Between which ages the first ripe fruit is expected, when flowers are taken off to the set day.

    Attributes:
        days: earliest and latest age in days.
        high_days: the same for plots at or above `high_from_m`.
        high_from_m: the elevation in metres from which `high_days` hold.
        source: where the figures come from.
    """

    days: tuple[int, int]
    high_days: tuple[int, int]
    high_from_m: int
    source: Annotated[str, Field(min_length=1)]


@dataclass(frozen=True, kw_only=True, config=_STRICT)
class Calendar:
    """A whole crop calendar.

    Attributes:
        id: the name of the calendar, the same in all its versions.
        version: rises with every change; plots remember the one they were planned with.
        changes: the version of the file of what differs that it was put together with; 0 if there is none.
        riding_moves: how many days before picking begins the weekly jobs move to a picking day, so that a
            week of picking never needs a text of its own for them.
        first_fruit: when first fruit is expected.
        tasks: all jobs.
    """

    id: Annotated[str, Field(pattern=r"^[a-z][a-z0-9-]*$")]
    version: Annotated[int, Field(ge=1)]
    changes: Annotated[int, Field(ge=0)] = 0
    riding_moves: Annotated[int, Field(ge=0)] = 14
    first_fruit: FirstFruit
    tasks: Annotated[tuple[Task, ...], Field(min_length=1)]

    @model_validator(mode="after")
    def _tasks_agree(self) -> Self:
        if len(self.by_id) != len(self.tasks):
            raise ValueError("two tasks have the same id")
        if sum(task.rides is Rides.PICKING_DAYS for task in self.tasks) != 1:
            raise ValueError("exactly one task must ride on picking_days")
        off, stay = self.by_id.get(FLOWERS_OFF), self.by_id.get(FLOWERS_STAY)
        if off and stay and off.last >= stay.first[0]:
            raise ValueError("flowers_off must be over before flowers_stay begins, or a farmer is told both")
        if self.tells_apart:
            for traits in every_kind():
                self._check(traits)
        return self

    def _check(self, traits: PlotTraits) -> None:
        try:
            self.for_plot(traits)
        except ValidationError as fault:
            said = fault.errors()[0]["msg"].removeprefix("Value error, ")
            raise ValueError(f"for plots with {traits}: {said}") from fault

    @property
    def edition(self) -> str:
        """Its version in one word, with that of what differs."""
        return f"{self.version}.{self.changes}" if self.changes else str(self.version)

    @cached_property
    def tells_apart(self) -> int:
        """The bits by which plots planted on one day may have different jobs; 0 if they never have."""
        return groups_named(other.plots.allowed for task in self.tasks for other in task.instead)

    def for_plot(self, traits: PlotTraits) -> Self:
        """Return the calendar as a plot has it: all its jobs with the days they have there; each kind's is made once.

        First fruit moves with picking, since both follow from the day on which flowers stay.
        """
        if not self.tells_apart:
            return self
        kind = traits.bits & self.tells_apart
        found = self._kinds.get(kind)
        if found is None:
            found = self._kinds[kind] = self._as_had_by(traits)
        return found

    def for_bits(self, bits: int) -> Self:
        """Return the calendar as a plot has it whose traits a database keeps as these bits."""
        return self.for_plot(traits_of(bits)) if self.tells_apart else self

    @cached_property
    def _kinds(self) -> dict[int, Self]:
        return {}

    def _as_had_by(self, traits: PlotTraits) -> Self:
        tasks = tuple(own for task in self.tasks if (own := task.for_plot(traits)) is not None)
        found = replace(self, tasks=tasks)
        fruit, later = self.first_fruit, found.picking_from - self.picking_from
        days, high_days = ((early + later, late + later) for early, late in (fruit.days, fruit.high_days))
        return replace(found, first_fruit=replace(fruit, days=days, high_days=high_days))

    @cached_property
    def told_once(self) -> frozenset[str]:
        """The ids of tasks that come back neither at a pace nor with picking."""
        return frozenset(task.id for task in self.tasks if task.is_told_once)

    @cached_property
    def by_id(self) -> Mapping[str, Task]:
        """The tasks by their ids."""
        return {task.id: task for task in self.tasks}

    @cached_property
    def picking_from(self) -> int:
        """The age in days from which picking is asked after, unless a weight came before."""
        return self.picking.first[0]

    @cached_property
    def picking(self) -> Task:
        """The task that rides on picking days."""
        return next(task for task in self.tasks if task.rides is Rides.PICKING_DAYS)

    def first_fruit_between(self, planted_on: date, elevation_m: int | None = None) -> tuple[date, date]:
        """Return the earliest and the latest day on which first ripe fruit is expected.

        Always a range, never one date: the time from open flower to ripe fruit alone spans 24 to 44 days
        (Chandler 2004, Proc. Fla. State Hort. Soc. 117). `elevation_m` is in metres; unknown counts as low.
        """
        high = elevation_m is not None and elevation_m >= self.first_fruit.high_from_m
        earliest, latest = self.first_fruit.high_days if high else self.first_fruit.days
        return planted_on + timedelta(days=earliest), planted_on + timedelta(days=latest)

    def flower_weeks_left(self, planted_on: date, day: date) -> int:
        """Return in how many weeks, begun ones counted, flowers may stay; 0 from that day on, or if none is known."""
        stay = self.by_id.get(FLOWERS_STAY)
        left = stay.first[0] - (day - planted_on).days if stay else 0
        return max(0, -(-left // WEEK))


_CALENDAR: Final = TypeAdapter(Calendar)


def load_calendar(path: Path = DEFAULT_CALENDAR) -> Calendar:
    """Read and check the calendar file at `path`: a whole calendar, or what differs from the one that is shipped.

    Raises:
        CalendarError: the file is missing, is no TOML, or an entry makes no sense; the sentence says which.
    """
    return _checked(path, _whole(path))


def load_for_place(path: Path, programme: Path, place: str) -> Calendar:
    """Read what differs in one place, named by a short word, from the programme's calendar file.

    It is a calendar of its own name. Its edition rises with that of either file.

    Raises:
        CalendarError: one of the files cannot be used; the sentence says which and why.
    """
    whole, raw = _whole(programme), _read(path)
    if not names_changes(raw):
        fault = "a district's file names only what differs, so leave out id and the list of jobs"
        raise CalendarError(path, "the whole file", fault)
    found = _merged(path, whole, raw)
    changes = found["changes"] + whole.get("changes", 0)
    return _checked(path, {**found, "id": f"{whole['id']}-{place}", "changes": changes})


def _whole(path: Path) -> dict[str, Any]:
    raw = _read(path)
    return _merged(path, _read(DEFAULT_CALENDAR), raw) if names_changes(raw) else raw


def _merged(path: Path, whole: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    try:
        return merged(whole, changes)
    except ChangesError as fault:
        raise CalendarError(path, fault.entry, fault.fault) from fault


def _checked(path: Path, raw: dict[str, Any]) -> Calendar:
    try:
        return _CALENDAR.validate_python(raw)
    except ValidationError as fault:
        first = fault.errors()[0]
        said = first["msg"].removeprefix("Value error, ")
        raise CalendarError(path, _entry(first["loc"], raw), said) from fault


def _read(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as fault:
        raise CalendarError(path, "the file itself", fault.strerror or "it cannot be read") from fault
    except ValueError as fault:
        raise CalendarError(path, "the file itself", f"it is no TOML: {fault}") from fault


def _entry(place: tuple[int | str, ...], raw: Mapping[str, object]) -> str:
    """Name the place of a fault in the words of the file: a task by its id rather than by its number."""
    tasks = raw.get("tasks")
    if len(place) < 2 or place[0] != "tasks" or not isinstance(tasks, list):  # noqa: PLR2004 - ("tasks", number)
        return ".".join(map(str, place)) or "the whole calendar"
    index = int(place[1])
    entry = tasks[index]
    # Without an id the task is named by its place, counted from 1 as people do.
    name = repr(entry["id"]) if isinstance(entry, dict) and "id" in entry else str(index + 1)
    return " ".join([f"task {name}", *map(str, place[2:3])])
