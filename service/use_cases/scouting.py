"""What farmers see on their plants, and the villages in which they see more of it than two weeks before.

A village is judged when one of its farmers tells what they have seen, or takes that back. What is found is put before
the officers of its district beside what the weather threatens, and nothing is sent by itself: `service.use_cases.
weather.settling`. Too few replies say nothing, and also protect those who gave them. One answer names one pest; of the
others it counts as a look that found nothing.
"""

from datetime import date, datetime, timedelta
from typing import Any, Final, Protocol

from flows.effects import Finding, SaveScout
from service.agronomy.risk import Level, Risk, Why
from service.agronomy.risk_figures import Scouting as Figures
from service.agronomy.risk_scouting import ScoutReply, scouting_risks
from service.core.danger_ports import Danger, DangerState, FoundDanger
from service.core.model import Inbound
from service.core.ports import Work
from service.core.scouting_ports import Village
from service.use_cases.tools import Tools

PESTS: Final = tuple(finding for finding in Finding if finding is not Finding.CLEAR)
_SETTLED: Final = (DangerState.LEFT, DangerState.WRITTEN)
# As officers read them; farmers read `finding.*` of the catalogue.
SEEN: Final[dict[str, str]] = {
    Finding.MITES: "tiny dots or webs, as mites make them",
    Finding.SLUGS: "slugs",
    Finding.GREY_MOULD: "grey mould on fruit",
    Finding.FLIES: "flies on fruit",
    Finding.CLEAR: "nothing",
}


class Carried(Protocol):
    """One text's effects on their way into the database, see `service.use_cases.carrying`."""

    work: Work
    tools: Tools
    inbound: Inbound
    on: date
    now: datetime


def keep_look(carry: Carried, effect: SaveScout) -> None:
    """Keep what was seen, and judge the village."""
    home = carry.work.scouting.add(
        id=carry.tools.ids.row(),
        plot_id=effect.plot_id,
        seen_on=carry.on,
        finding=effect.finding,
        inbound_id=carry.inbound.id,
    )
    if home is not None:
        _judge(carry, home, lifts=frozenset({Level.NONE}))


def forget_looks(carry: Carried, report_id: int) -> None:
    """Forget what was seen with a job that is no longer done, and judge anew where that was."""
    for home in carry.work.scouting.take_back(report_id):
        # What rested on a look that was none does not stand because too few are left.
        _judge(carry, home, lifts=frozenset({Level.NONE, Level.UNKNOWN}))


def _judge(carry: Carried, home: Village, *, lifts: frozenset[Level]) -> None:
    """Judge a village; a danger there whose pest has now one of the levels `lifts` is lifted."""
    work, figures = carry.work, carry.tools.risk.scouting
    since = carry.on - timedelta(days=figures.apart_days + figures.window_days - 1)
    replies = [
        ScoutReply(
            village=home.id, farmer=look.farmer_id, on=look.seen_on, pest=pest, found=look.finding is pest
        )
        for look in work.scouting.looks(home.id, since)
        for pest in PESTS
    ]
    risks = scouting_risks(carry.tools.risk, replies, carry.on)
    there = {one.pest: one for one in work.dangers.of_village(home.id, carry.on)}
    for pest in PESTS:
        risk, earlier = risks.get((home.id, pest)), there.get(pest)
        level = risk.level if risk else Level.UNKNOWN
        if risk and level >= Level.WATCH:
            _keep(carry, home, pest, risk, earlier)
        elif earlier and earlier.state is DangerState.OPEN and level in lifts:
            work.dangers.change(earlier.id, state=DangerState.LIFTED)


def _keep(carry: Carried, home: Village, pest: Finding, risk: Risk, earlier: Danger | None) -> None:
    figures = carry.tools.risk.scouting
    values: FoundDanger = {
        "level": int(risk.level),
        "figure": None,
        "metres_from": None,
        "reason": _reason(figures, home, pest, risk, carry.on),
        "state": DangerState.OPEN,
    }
    if earlier is None:
        carry.work.dangers.add(
            id=carry.tools.ids.row(),
            district_id=home.district_id,
            hazard=risk.hazard.value,
            day=carry.on + timedelta(days=figures.window_days - 1),
            **values,
            found_at=carry.now,
            village_id=home.id,
            pest=pest,
        )
    elif earlier.state not in _SETTLED or risk.level > earlier.level:
        carry.work.dangers.change(earlier.id, **values)


def _reason(figures: Figures, home: Village, pest: Finding, risk: Risk, on: date) -> str:
    told: Any = risk.reason.values
    first = on - timedelta(days=figures.window_days - 1)
    before = "nobody" if risk.reason.why is Why.NEWLY_FOUND else str(told["found_before"])
    return (
        f"{told['found']} of {told['looked']} farmers in {home.name} who looked from {_day(first)} to {_day(on)} "
        f"saw {SEEN[pest]}; {figures.apart_days} days before it was {before} of {told['looked_before']}."
    )


def _day(day: date) -> str:
    return f"{day.day} {day:%b}"
