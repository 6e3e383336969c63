"""Files of prices: comma-separated values as RFC 4180 has them, a line a price, all kept or none.

The first line names the columns. Semicolons may stand for commas, since spreadsheets of many countries write so.
"""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Final

from flows.money import Currency
from service.core.errors import Refused
from service.core.model import District
from service.core.money_ports import NewPrice
from service.use_cases.audit import note
from service.use_cases.pricing import Noter, Price, PricingWork, keep_price
from service.use_cases.tools import Tools

MOST_LINES: Final = 1_000
_NEEDED: Final = ("market", "price", "day")
_KNOWN: Final = (*_NEEDED, "class")
_NAMES: Final = "market,class,price,day"


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One price of a file; lines count from 1, the one with the names of the columns."""

    number: int
    price: Price


@dataclass(frozen=True, kw_only=True, slots=True)
class Outcome:
    """What a file adds, how many of its lines hold already, and in sentences what is wrong with others."""

    added: tuple[NewPrice, ...]
    known: int
    faults: tuple[str, ...]


def take_sheet(
    work: PricingWork,
    tools: Tools,
    noter: Noter,
    district: District,
    text: str,
    *,
    sure: bool = False,
    apply: bool = False,
) -> Outcome:
    """Say what a file of prices adds and, with `apply`, keep it; with one line that is wrong nothing is kept.

    Args:
        sure: whether prices far from the last ones are right.

    Raises:
        Refused: its first line does not name the columns, or it is no file of this kind at all.
    """
    lines, faults = read_lines(text, tools.programme.currency, sure=sure)
    added: list[NewPrice] = []
    for line in lines:
        try:
            kept = keep_price(work, tools, noter, district, line.price)
        except Refused as refusal:
            faults[line.number] = str(refusal)
            continue
        added += [] if kept is None else [kept]
    if apply and added and not faults:
        detail = {"prices": len(added)}
        note(work, noter.officer, "price.list_noted", f"district:{district.id}", detail, at=noter.real_now)
        work.commit()
    told = tuple(f"Line {number}: {sentence}" for number, sentence in sorted(faults.items()))
    return Outcome(added=tuple(added), known=len(lines) - len(added), faults=told)


def read_lines(text: str, currency: Currency, *, sure: bool) -> tuple[list[Line], dict[int, str]]:
    """Return the prices of a file, and what is wrong with its other lines by their numbers.

    Raises:
        Refused: its first line does not name the columns, or it is no file of this kind at all.
    """
    first = text.lstrip("\r\n").partition("\n")[0]
    cut = csv.reader(io.StringIO(text, newline=""), delimiter=";" if ";" in first else ",", strict=True)
    try:
        rows = [(cut.line_num, cells) for cells in cut if any(cell.strip() for cell in cells)]
    except csv.Error as error:
        raise Refused(f"The file cannot be cut into cells after line {cut.line_num}: {error}.") from error
    if not rows:
        raise Refused(f"The file is empty: its first line names the columns, like {_NAMES}.")
    if len(rows) > MOST_LINES:
        raise Refused(f"The file has more than {MOST_LINES:,} lines: send it in parts.")
    columns = _columns(rows[0][1])
    found: list[Line] = []
    faults: dict[int, str] = {}
    for number, cells in rows[1:]:
        try:
            found.append(Line(number=number, price=_price(columns, cells, currency, sure=sure)))
        except Refused as refusal:
            faults[number] = str(refusal)
    return found, faults


def _columns(cells: Sequence[str]) -> tuple[str, ...]:
    columns = tuple(cell.strip().casefold() for cell in cells)
    odd = [name for name in columns if name not in _KNOWN]
    missing = [name for name in _NEEDED if name not in columns]
    if odd or missing or len(set(columns)) != len(columns):
        raise Refused(f"The first line has to name the columns, each once, like {_NAMES}.")
    return columns


def _price(columns: Sequence[str], cells: Sequence[str], currency: Currency, *, sure: bool) -> Price:
    if len(cells) != len(columns):
        raise Refused(
            f"it has {len(cells)} cells, and the first line names {len(columns)} columns: correct it."
        )
    row: Mapping[str, str] = dict(zip(columns, (cell.strip() for cell in cells), strict=True))
    try:
        kilo = Decimal(row["price"])
        if not kilo.is_finite():
            raise InvalidOperation  # noqa: TRY301 - what is no number is one refusal
        minor = currency.minor(kilo)
    except InvalidOperation:
        raise Refused(f"“{row['price']}” is no price: write figures alone, like 2500.") from None
    try:
        on = date.fromisoformat(row["day"])
    except ValueError:
        raise Refused(f"“{row['day']}” is no day: write it like 2026-11-25.") from None
    return Price(market=row["market"], crop_class=row.get("class", ""), minor=minor, on=on, sure=sure)
