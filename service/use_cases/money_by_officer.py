"""Sales and costs that a farmer tells an officer by voice: kept, taken back, and a sale told apart from a collection's.

The farmer's UNDO never reaches them, as it never reaches a weight that was told so; an officer takes them back.
"""

from dataclasses import dataclass
from datetime import date
from typing import Final

from flows.moves.sales import OLDEST
from flows.trading import CostKind
from flows.wording import Grams
from service.core.errors import Refused
from service.core.model import Plot
from service.core.money_ports import KeptCost, KeptSale
from service.core.ports import Work
from service.use_cases.audit import note
from service.use_cases.spraying_by_officer import Deed
from service.use_cases.tools import Tools

LONGEST_BUYER: Final = 24


@dataclass(frozen=True, kw_only=True, slots=True)
class ToldSale:
    """A sale: grams, the smallest money for all of it, and whether it is other fruit than a collection's that day."""

    on: date
    grams: int
    minor: int
    buyer: str
    besides: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class ToldCost:
    """A cost in the smallest money."""

    on: date
    kind: CostKind
    minor: int


def keep_sale(work: Work, tools: Tools, deed: Deed, plot: Plot, told: ToldSale) -> None:
    """Keep a sale.

    Raises:
        Refused: it cannot be, or a collection took fruit that day and nobody has said that this was other fruit.
    """
    _check_day(told.on, deed.on)
    if not told.grams or not told.minor:
        raise Refused("Write the kilos that were sold and the money for all of them.")
    currency = tools.programme.currency.code
    taken = work.money.baskets([plot.farmer_id], currency, told.on, told.on)
    if taken and not told.besides:
        raise Refused(
            f"The collection accepted {Grams(taken[0].grams)} kg on that day, which is noted already: say that this was "
            "other fruit, or leave it out."
        )
    sale = KeptSale(
        id=tools.ids.row(),
        plot_id=plot.id,
        sold_on=told.on,
        grams=told.grams,
        minor=told.minor,
        currency=currency,
        buyer=told.buyer.strip()[:LONGEST_BUYER] or None,
        at=deed.now,
        besides=told.besides,
        officer_id=deed.officer.id,
    )
    work.money.add_sale(sale, inbound_id=None, phone_id=None)
    detail = {
        "sale": sale.id,
        "on": told.on,
        "grams": told.grams,
        "minor": told.minor,
        "besides": told.besides,
    }
    _note(work, deed, plot, "sale.told", detail)


def keep_cost(work: Work, tools: Tools, deed: Deed, plot: Plot, told: ToldCost) -> None:
    """Keep a cost.

    Raises:
        Refused: it cannot be.
    """
    _check_day(told.on, deed.on)
    if not told.minor:
        raise Refused("Write what was paid.")
    cost = KeptCost(
        id=tools.ids.row(),
        plot_id=plot.id,
        spent_on=told.on,
        kind=told.kind,
        minor=told.minor,
        currency=tools.programme.currency.code,
        at=deed.now,
        officer_id=deed.officer.id,
    )
    work.money.add_cost(cost, inbound_id=None, phone_id=None)
    _note(
        work,
        deed,
        plot,
        "cost.told",
        {"cost": cost.id, "on": told.on, "kind": told.kind, "minor": told.minor},
    )


def take_sale_back(work: Work, deed: Deed, plot: Plot, sale_id: int) -> None:
    """Take a sale back that an officer has entered; done twice it is done once."""
    if work.money.take_sale_back(plot.id, sale_id, deed.officer.id):
        _note(work, deed, plot, "sale.taken_back", {"sale": sale_id})


def take_cost_back(work: Work, deed: Deed, plot: Plot, cost_id: int) -> None:
    """Take a cost back that an officer has entered; done twice it is done once."""
    if work.money.take_cost_back(plot.id, cost_id, deed.officer.id):
        _note(work, deed, plot, "cost.taken_back", {"cost": cost_id})


def count_besides(work: Work, deed: Deed, plot: Plot, sale_id: int) -> None:
    """Count a sale of a collection's day, as it was other fruit; done twice it is done once."""
    if work.money.mark_besides(plot.id, sale_id):
        _note(work, deed, plot, "sale.besides", {"sale": sale_id})


def _check_day(day: date, on: date) -> None:
    if not on - OLDEST <= day <= on:
        raise Refused("Choose a day of the last 12 months.")


def _note(work: Work, deed: Deed, plot: Plot, action: str, detail: dict[str, object]) -> None:
    note(work, deed.officer, action, f"plot:{plot.id}", detail, at=deed.real_now)
    work.commit()
