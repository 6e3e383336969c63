"""Prices of markets as officers note them: checked before farmers are told of them, and never overwritten.

A wrong price is put right by a newer one. One that lies far from the last is kept only by whoever says it is right.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final, Protocol

from flows.alphabet import culprits
from flows.money import MOST_MINOR, Money
from flows.moves.market import LONGEST_MARKET
from flows.trading import Quoted
from service.core.errors import Refused
from service.core.folding import folded
from service.core.model import District
from service.core.money_ports import NewPrice, PriceRows
from service.core.staff import Officer
from service.use_cases.audit import Noting, note
from service.use_cases.money import PRICES_HOLD
from service.use_cases.tools import Tools

# So long a market's name is known again however it is written.
KNOWN_FOR: Final = timedelta(days=365)
# A price so many times the last one, or that part of it, is asked about: a figure may be missing.
_FAR: Final = 3
# No market has a telephone number for its name.
_MOST_DIGITS: Final = 3


class PricingWork(Noting, Protocol):
    """A unit of work, as far as prices need it."""

    @property
    def prices(self) -> PriceRows:
        """Prices of markets."""
        ...

    def commit(self) -> None:
        """Keep everything done."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class Price:
    """A price of a kilo as an officer was told it; `crop_class` is '' where there is one for all fruit.

    Attributes:
        sure: whether the officer has said that it is right though it lies far from the last.
    """

    market: str
    crop_class: str
    minor: int
    on: date
    sure: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Noter:
    """Who notes it and when: `today` is the district's day, `now` service time, `real_now` real time for the record."""

    officer: Officer | None
    today: date
    now: datetime
    real_now: datetime


def note_price(work: PricingWork, tools: Tools, noter: Noter, district: District, told: Price) -> None:
    """Keep a price; the one that holds already is not kept twice.

    Raises:
        Refused: something of it cannot be, or it lies far from the last price and nobody has said that it is right.
    """
    price = keep_price(work, tools, noter, district, told)
    if price is not None:
        detail = {
            "market": price.market,
            "class": price.crop_class,
            "minor": price.minor,
            "currency": price.currency,
            "on": price.quoted_on,
        }
        note(work, noter.officer, "price.noted", f"district:{district.id}", detail, at=noter.real_now)
    work.commit()


def keep_price(
    work: PricingWork, tools: Tools, noter: Noter, district: District, told: Price
) -> NewPrice | None:
    """Keep a price without committing; return it, or None where it holds already.

    Raises:
        Refused: something of it cannot be, or it lies far from the last price and nobody has said that it is right.
    """
    currency = tools.programme.currency
    market, crop_class = _clean(told.market), _clean(told.crop_class)
    _check(market, crop_class, told, noter.today)
    known = work.prices.newest([district.id], currency.code, noter.today - KNOWN_FOR)
    market, crop_class = _as_known(market, crop_class, known)
    last = next((one for one in known if (one.market, one.crop_class) == (market, crop_class)), None)
    if last and (last.minor, last.on) == (told.minor, told.on):
        return None
    if last and not told.sure and not last.minor <= told.minor * _FAR <= last.minor * _FAR**2:
        before = Money(last.minor, currency)
        raise Refused(
            f"The last price there was {before}: this one is more than {_FAR} times off. "
            "Correct it, or say that it is right."
        )
    price = NewPrice(
        id=tools.ids.row(),
        district_id=district.id,
        market=market,
        crop_class=crop_class,
        minor=told.minor,
        currency=currency.code,
        quoted_on=told.on,
        officer_id=noter.officer.id if noter.officer else None,
        at=noter.now,
    )
    work.prices.add(price)
    return price


def _clean(words: str) -> str:
    return " ".join(words.split())


def _check(market: str, crop_class: str, told: Price, today: date) -> None:
    if not market:
        raise Refused("Write the market's name.")
    if len(f"{market} {crop_class}".strip()) > LONGEST_MARKET:
        raise Refused(
            f"A text has room for {LONGEST_MARKET} letters of market and kind of fruit together: shorten them."
        )
    if culprits(f"{market}{crop_class}") or sum(map(str.isdigit, f"{market}{crop_class}")) > _MOST_DIGITS:
        raise Refused("Write the market in plain letters: its name goes into each farmer's text.")
    if not 0 < told.minor <= MOST_MINOR:
        raise Refused("Write the price of a kilo in figures, above nothing.")
    if not today - PRICES_HOLD <= told.on <= today:
        raise Refused(f"A price is of the last {PRICES_HOLD.days} days: give another day.")


def _as_known(market: str, crop_class: str, known: tuple[Quoted, ...]) -> tuple[str, str]:
    """Return market and class as they were written before, whatever their capitals and accents are now."""
    markets = {folded(one.market): one.market for one in reversed(known)}
    classes = {folded(one.crop_class): one.crop_class for one in reversed(known)}
    return markets.get(folded(market), market), classes.get(folded(crop_class), crop_class)
