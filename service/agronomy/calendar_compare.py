"""What another calendar would change for the plots that stand in the ground, by their age in days."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Final

from service.agronomy.calendar import Calendar
from service.agronomy.tasks import Pace, Rides, Task

# What of a task a file can say, but for its name, its source and its entries for some plots.
_FIGURES: Final = (
    "first",
    "every",
    "last",
    "useful",
    "min_gap",
    "rank",
    "rides",
    "outside_cap",
    "repeat_after",
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Standing:
    """So many plots of one age in days that are alike; `traits` are their bits."""

    age: int
    traits: int
    plots: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Difference:
    """What differs in one job, and for how many plots.

    Attributes:
        task: its id.
        figures: what the file says otherwise: name, before, after; empty where only some plots differ.
        is_new: whether only the other calendar has it.
        is_gone: whether only the calendar in force has it.
        moved: plots that have it on other days from tomorrow on.
        missed: plots of which the new day is here or past and the old one still ahead, so that they may not be told.
        told: plots whose old day is past and the new one ahead: they are not told again.
    """

    task: str
    figures: tuple[tuple[str, str, str], ...]
    is_new: bool
    is_gone: bool
    moved: int
    missed: int
    told: int


def compare(before: Calendar, after: Calendar, standing: Iterable[Standing]) -> tuple[Difference, ...]:
    """Return the jobs that differ between two calendars, in the order of the first and then of the second."""
    stands = tuple(standing)
    ids = dict.fromkeys([*before.by_id, *after.by_id])
    found = (_difference(before, after, task, stands) for task in ids)
    return tuple(one for one in found if one is not None)


def compare_rest(before: Calendar, after: Calendar) -> tuple[tuple[str, str, str], ...]:
    """Return what differs beside the jobs: name, before, after."""
    found = (
        ("riding_moves", before.riding_moves, after.riding_moves),
        ("first_fruit.days", before.first_fruit.days, after.first_fruit.days),
        ("first_fruit.high_days", before.first_fruit.high_days, after.first_fruit.high_days),
        ("first_fruit.high_from_m", before.first_fruit.high_from_m, after.first_fruit.high_from_m),
    )
    return tuple((name, _said(was), _said(will)) for name, was, will in found if was != will)


def _difference(
    before: Calendar, after: Calendar, task: str, stands: tuple[Standing, ...]
) -> Difference | None:
    old, new = before.by_id.get(task), after.by_id.get(task)
    if old == new:
        return None
    moved = missed = told = 0
    for stand in stands:
        was = before.for_bits(stand.traits).by_id.get(task)
        will = after.for_bits(stand.traits).by_id.get(task)
        moved += stand.plots * (_ahead(was, stand.age) != _ahead(will, stand.age))
        missed += stand.plots * any(then <= stand.age < once for once, then in _pairs(was, will))
        told += stand.plots * any(once <= stand.age < then for once, then in _pairs(was, will))
    return Difference(
        task=task,
        figures=tuple(_figures(old, new)) if old and new else (),
        is_new=old is None,
        is_gone=new is None,
        moved=moved,
        missed=missed,
        told=told,
    )


def _ahead(task: Task | None, age: int) -> tuple[int, ...]:
    """Return the ages on which a job falls after `age`; of picking, the first and the last of them."""
    if task is None or age >= task.last:
        return ()
    if task.rides is Rides.PICKING_DAYS:
        return (max(task.first[0], age + 1), task.last)
    return tuple(day for day in task.nominal_days if day > age)


def _pairs(old: Task | None, new: Task | None) -> Iterator[tuple[int, int]]:
    """Pair the days of a job that is told once, before and after."""
    if old and new and old.is_told_once and new.is_told_once:
        yield from zip(old.nominal_days, new.nominal_days, strict=False)


def _figures(old: Task, new: Task) -> Iterator[tuple[str, str, str]]:
    for name in _FIGURES:
        before, after = getattr(old, name), getattr(new, name)
        if before != after:
            yield name, _said(before), _said(after)


def _said(value: object) -> str:
    """Return a figure as a calendar file has it."""
    if isinstance(value, tuple):
        return ", ".join(_said(one) for one in value) or "none"
    if isinstance(value, Pace):
        return f"{value.days} until {value.until}"
    return "none" if value is None else str(value)
