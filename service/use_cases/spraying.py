"""Sprays: until the label's days are over, nothing of ours asks for picking, and what is picked is flagged.

A spray told by text counts for all of the farmer's open plots, since a text names none. Of several sprays the one that
holds longest counts, so each change is obeyed by looking at all that are left. Nothing here shortens what a label says.
"""

from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta
from typing import Any, Final, Protocol

from flows.spraying import Held, PickedFirst, SaveSpray, TellLabelDays, VoidSpray, free_from
from service.agronomy.hold import SPEAKS_OF_PICKING
from service.core.model import Inbound, Plot
from service.core.ports import Work
from service.core.spraying import KeptSpray, NewSpray
from service.use_cases.tools import Tools

HELD_BACK: Final = "a spray was told of: no picking before its label's days are over"
# How far back a weight can be dated, see flows.moves.harvests.
_WEIGHTS_BACK: Final = timedelta(days=30)


class Carried(Protocol):
    """One text's effects on their way into the database, see `service.use_cases.carrying`."""

    work: Work
    tools: Tools
    inbound: Inbound
    on: date
    now: datetime


def pick_from(tools: Tools, sprayed_on: date, label_days: int | None) -> date:
    """Return the first day on which fruit may be picked after a spray."""
    return free_from(sprayed_on, label_days, tools.programme.longest_hold)


def held_plots(work: Work, plot_ids: Sequence[int], on: date) -> frozenset[int]:
    """Return those of these plots from which nothing may be picked on a day.

    A kept spray holds as long as counted when it was told, whatever the programme's setting has become.
    """
    kept = work.sprays.on_plots(plot_ids, on)
    return frozenset(one.plot_id for one in kept if one.sprayed_on <= on)


def sprays_of(work: Work, plot_id: int, on: date) -> tuple[Held, ...]:
    """Return the sprays on a plot that count for today or for a day that a weight may be dated."""
    return tuple(
        Held(spray_id=kept.id, sprayed_on=kept.sprayed_on, pick_from=kept.pick_from)
        for kept in work.sprays.on_plots([plot_id], on - _WEIGHTS_BACK)
    )


def keep_sprays(work: Work, sprays: Sequence[NewSpray], on: date, now: datetime) -> None:
    """Keep sprays, and obey them from now on. It does not commit."""
    work.sprays.add(sprays)
    obey(work, [one.plot_id for one in sprays], on, now)


def tell_days(
    work: Work, tools: Tools, spray_id: int, label_days: int | None, *, on: date, now: datetime
) -> tuple[KeptSpray, ...]:
    """Keep what the label of a spray says, for all plots it was told for; return what it was. It does not commit."""
    alike = work.sprays.alike(spray_id)
    for one in alike:
        free = pick_from(tools, one.sprayed_on, label_days)
        work.sprays.set_days([one.id], label_days, free, now)
    obey(work, [one.plot_id for one in alike], on, now)
    return alike


def void_spray(
    work: Work, spray_id: int, *, on: date, now: datetime, inbound_id: int | None
) -> tuple[KeptSpray, ...]:
    """Take a spray back, on all plots it was told for; return what it was. It does not commit."""
    alike = work.sprays.alike(spray_id)
    work.sprays.void([one.id for one in alike], now, inbound_id)
    obey(work, [one.plot_id for one in alike], on, now)
    return alike


def obey(work: Work, plot_ids: Sequence[int], on: date, now: datetime) -> None:
    """Flag the weights of these plots anew, and let no text that waits speak of picking while a hold runs."""
    work.sprays.flag_weights(plot_ids)
    held = sorted(held_plots(work, plot_ids, on))
    if held and work.sprays.call_off(held, sorted(SPEAKS_OF_PICKING), HELD_BACK, now):
        plots = [work.plots.the(plot_id) for plot_id in held]
        for zone, calendar_id in sorted({(plot.zone, plot.calendar_id) for plot in plots}):
            work.planning.merge_again(zone, calendar_id, on)


def _save_spray(carry: Carried, effect: SaveSpray) -> None:
    plots = [plot for plot in carry.work.plots.of_farmer(effect.farmer_id) if _may_bear(plot, effect.plot_id)]
    # The plot that is talked about has the first id, by which the spray is known in the conversation.
    ordered = sorted(plots, key=lambda plot: (plot.id != effect.plot_id, plot.id))
    free = pick_from(carry.tools, effect.on, effect.days)
    sprays = [
        NewSpray(
            id=effect.id if plot.id == effect.plot_id else carry.tools.ids.row(),
            plot_id=plot.id,
            sprayed_on=effect.on,
            label_days=effect.days,
            pick_from=free,
            inbound_id=carry.inbound.id,
            phone_id=carry.inbound.phone_id,
            at=carry.now,
        )
        for plot in ordered
    ]
    keep_sprays(carry.work, sprays, carry.on, carry.now)


def _may_bear(plot: Plot, talked_about: int) -> bool:
    return plot.closed_on is None or plot.id == talked_about


def _tell_days(carry: Carried, effect: TellLabelDays) -> None:
    tell_days(carry.work, carry.tools, effect.id, effect.days, on=carry.on, now=carry.now)


def _void_spray(carry: Carried, effect: VoidSpray) -> None:
    void_spray(carry.work, effect.id, on=carry.on, now=carry.now, inbound_id=carry.inbound.id)


def _picked_first(carry: Carried, effect: PickedFirst) -> None:
    alike = carry.work.sprays.alike(effect.id)
    carry.work.sprays.set_picked_first([one.id for one in alike])
    carry.work.sprays.flag_weights([one.plot_id for one in alike])


SPRAYS: Final[dict[type[Any], Callable[[Any, Any], None]]] = {
    SaveSpray: _save_spray,
    TellLabelDays: _tell_days,
    VoidSpray: _void_spray,
    PickedFirst: _picked_first,
}
