"""Texts about money: sales, costs, prices and the year. None of them promises a price or an income."""

from typing import Final

from flows.promised import Kind, Text
from flows.trading import CostKind

_LONGEST_THING: Final = 28
_LONGEST_PRICE: Final = 54

MONEY_TEXTS: Final[dict[str, Text]] = {
    "help_money": Text(),
    "sale_noted": Text(values="name kg money date kilo_price"),
    "sale_worth": Text(values="kg money"),
    "sale_same": Text(values="kg date kg_1"),
    "sale_known": Text(values="name kg date kg_1 money"),
    "sale_how": Text(),
    "sale_left": Text(),
    "sale_no_day": Text(),
    "sale_unlikely": Text(),
    "undone_sale": Text(values="kg money date"),
    "cost_noted": Text(values="money thing date"),
    "cost_kind": Text(values="money"),
    "cost_how": Text(),
    "cost_left": Text(),
    "cost_no_day": Text(),
    "cost_unlikely": Text(),
    "undone_cost": Text(values="money thing date"),
    **{f"cost.{kind}": Text(kind=Kind.WORDS, at_most=_LONGEST_THING) for kind in CostKind},
    "prices_told": Text(values="prices"),
    "prices_none": Text(),
    "price.line": Text(values="market kilo_price date", kind=Kind.WORDS, at_most=_LONGEST_PRICE),
    "year_told": Text(values="name total kg_sold money_in money_out margin"),
    "year_short": Text(values="name total kg_sold money_in money_out margin"),
    "year_none": Text(values="name"),
}
