"""The figures of a report in the order they are read in: the page and the file show the same."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Final

from service.core.kinds import ALERT_KINDS, SENT
from service.db.queries.reporting import DayPicked, Reporting, TextsOut
from service.db.queries.scope import Districts
from service.web.report.periods import Period
from service.web.words import KINDS, MESSAGE_STATES, kilos

# How much of its place a day's bar fills.
_FILLED: Final = 0.8
# So many days have room for lettering below a drawing on the narrowest screen.
_LETTERED: Final = 7


@dataclass(frozen=True, kw_only=True, slots=True)
class Figure:
    """A number with what it counts; `made_of` says what it is the sum of, or counts some of it."""

    name: str
    value: str
    made_of: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Section:
    """Figures under one heading; `note` says how they are counted, where that is not plain."""

    title: str
    figures: tuple[Figure, ...]
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class DayBar:
    """A day of the drawing. `x`, `width` and `height` are percent of it; `lettered` is whether its day stands below."""

    picked: DayPicked
    x: float
    width: float
    height: float
    lettered: bool


def sections(
    reporting: Reporting, period: Period, districts: Districts, *, now: datetime, zone: str
) -> tuple[Section, ...]:
    """Return all figures of a report."""
    days = period.within(zone)
    texts = reporting.texts(days, districts)
    farmers = reporting.farmers(days, districts, now)
    jobs = reporting.jobs(days, districts)
    picked = reporting.picked(days, districts)
    calls = reporting.questions(days, districts, calls=True)
    questions = reporting.questions(days, districts, calls=False)
    brought = reporting.brought(days, districts)
    return (
        Section(
            title="Farmers",
            note="As they stand now; new are those added in these days.",
            figures=(
                _number("are texted", farmers.active),
                _number("have paused", farmers.paused),
                _number("have not said yes yet", farmers.pending),
                _number("have stopped all texts", farmers.stopped),
                _number("new", farmers.new),
            ),
        ),
        Section(
            title="Jobs",
            note="Jobs that fell due in these days and were texted.",
            figures=(_number("asked", jobs.asked), _number("done, or followed by a weight", jobs.done)),
        ),
        Section(
            title="Weights",
            note="As farmers told them, by the day of picking; weights in question do not count.",
            figures=(
                Figure(name="kilos picked", value=kilos(sum(one.grams for one in picked))),
                Figure(
                    name="of these after a spray, too early", value=kilos(reporting.held(days, districts))
                ),
                _number("weights told", sum(one.weights for one in picked)),
                _number("farmers who told one", reporting.pickers(days, districts)),
            ),
        ),
        Section(
            title="Collections",
            note="As clerks weighed it. It may be the same fruit that farmers told above: never add the two.",
            figures=(
                Figure(name="kilos accepted", value=kilos(brought.accepted)),
                Figure(name="kilos not accepted", value=kilos(brought.rejected)),
                _number("deliveries", brought.deliveries),
                _number("farmers who brought fruit", brought.farmers),
            ),
        ),
        Section(
            title="Calls for help",
            note="Came in these days; answered or closed by now.",
            figures=(
                _number("words of danger", calls.emergencies),
                _number("need help, after a warning", calls.helps),
                _number("of these answered by text", calls.answered),
                _number("of these called, or seen to without a text", calls.closed),
                _number("still open", calls.asked - calls.answered - calls.closed),
            ),
        ),
        Section(
            title="Questions",
            note="Asked in these days; answered or closed by now. Calls for help are not among them.",
            figures=(
                _number("asked", questions.asked),
                _number("of these answered by text", questions.answered),
                _number("of these closed without a text", questions.closed),
            ),
        ),
        Section(
            title="Alerts",
            figures=(
                _number("sent", reporting.alerts(days, districts)),
                _number("texts of alerts that left", _left(texts)),
            ),
        ),
        Section(title="Texts out", figures=tuple(_texts(texts))),
        Section(
            title="Cost in parts",
            note="Parts of texts that left, each text counted once."
            + (
                "" if districts is None else " Texts to phones of nobody's district are in no district's sum."
            ),
            figures=tuple(_parts(texts)),
        ),
    )


def _number(name: str, value: int) -> Figure:
    return Figure(name=name, value=f"{value:,}")


def _left(texts: Iterable[TextsOut]) -> int:
    return sum(one.texts for one in texts if one.kind in ALERT_KINDS and one.state in SENT)


def _by_kind(texts: Iterable[TextsOut]) -> dict[str, tuple[TextsOut, ...]]:
    return {kind: tuple(alike) for kind, alike in groupby(texts, key=lambda one: one.kind)}


def _texts(texts: Iterable[TextsOut]) -> Iterable[Figure]:
    for kind, alike in _by_kind(texts).items():
        yield Figure(
            name=KINDS.get(kind, kind),
            value=f"{sum(one.texts for one in alike):,}",
            made_of=tuple((MESSAGE_STATES[one.state], f"{one.texts:,}") for one in alike),
        )


def _parts(texts: tuple[TextsOut, ...]) -> Iterable[Figure]:
    for kind, alike in _by_kind(texts).items():
        yield _number(KINDS.get(kind, kind), sum(one.parts for one in alike))
    yield _number("all texts", sum(one.parts for one in texts))


def bars(picked: Iterable[DayPicked], period: Period) -> tuple[DayBar, ...]:
    """Return the drawing of what was picked, a bar for each day of the report."""
    there = {one.day: one for one in picked}
    days = [there.get(day, DayPicked(day=day, grams=0, weights=0)) for day in period.days]
    best = max(one.grams for one in days) or 1
    every = -(-len(days) // _LETTERED)
    return tuple(
        DayBar(
            picked=one,
            x=round(100 * place / len(days), 2),
            width=round(100 * _FILLED / len(days), 2),
            height=round(100 * one.grams / best, 1),
            lettered=place % every == 0,
        )
        for place, one in enumerate(days)
    )
