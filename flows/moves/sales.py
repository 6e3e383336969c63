"""Sales: what was sold and for how much. Money that may be for each kilo or for all is asked about, never guessed.

A sale adds nothing to what was picked, and needs no weight told before. What a collection took is money that is known
already: a sale of that day which is surely the same fruit is not kept again, and of any other is asked.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Final

from flows.effects import Say
from flows.facts import Saved
from flows.money import MOST_MINOR, Money, per_kilo
from flows.moves.days_kept import DaysKept
from flows.moves.noting import day_of, pending
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.states import State
from flows.trading import Basket, SaveSale, Sold, VoidSale, Worth
from flows.wording import Grams, Name

OLDEST: Final = timedelta(days=366)
DAYS: Final = DaysKept(oldest=OLDEST, vague="sale_no_day", ahead="sale_no_day", old="sale_no_day")
# A hundred tonnes: no field that is told about here bears more.
_MOST_GRAMS: Final = 10**8
_GRAMS_A_KILO: Final = 1000
# How far from the prices that are known a price may lie and still be one: common practice, no source.
_FAR: Final = 3


def sold(moment: Moment) -> Turn:
    """Keep a sale, or ask what its money was for."""
    report, today = moment.expect(Sold), moment.facts.on
    on = report.on or today
    refused = DAYS.refused(on, today, vague=report.vague)
    if refused:
        why, text_id = refused
        return settled(moment, why, moment.say(text_id))
    if report.grams is None or report.amount is None:
        return settled(moment, "a sale without its kilos or its money", moment.say("sale_how"))
    minor = moment.facts.currency.minor(report.amount)
    if not _possible(report.grams, minor):
        return settled(moment, "more or less than anybody sells", moment.say("sale_unlikely"))
    worth = report.worth or _only_likely(moment, report.grams, minor)
    if worth is None:
        return _ask(moment, report.grams, minor, on, report.buyer)
    return _keep(moment, report.grams, _for_all(report.grams, minor, worth), on, report.buyer)


def told_anew(moment: Moment) -> Turn:
    """A sale that is told while one is in question takes its place."""
    return sold(ended(moment))


def _possible(grams: int, minor: int) -> bool:
    dearest = max(minor, _for_all(grams, minor, Worth.EACH))
    return 0 < grams <= _MOST_GRAMS and minor > 0 and dearest <= MOST_MINOR


def _for_all(grams: int, minor: int, worth: Worth) -> int:
    """Return what was paid for all, the half of a smallest money rounded upwards."""
    return minor if worth is Worth.ALL else (minor * grams * 2 + _GRAMS_A_KILO) // (_GRAMS_A_KILO * 2)


def _only_likely(moment: Moment, grams: int, minor: int) -> Worth | None:
    """Return what the money was for where the prices that are known leave one of both; None where they do not."""
    if grams == _GRAMS_A_KILO:
        return Worth.ALL
    purse = moment.someone().purse
    known = [*(quote.minor for quote in purse.quotes), *purse.kilo_prices] if purse else []
    fits = {Worth.EACH: minor, Worth.ALL: per_kilo(minor, grams)}
    likely = [worth for worth, price in fits.items() if _near(price, known)]
    return likely[0] if len(likely) == 1 else None


def _near(price: int, known: Sequence[int]) -> bool:
    return bool(known) and min(known) <= price * _FAR and price <= max(known) * _FAR


def _ask(moment: Moment, grams: int, minor: int, on: date, buyer: str | None) -> Turn:
    say = _question(moment, grams, minor)
    why = "for each kilo or for all is asked"
    return asked(moment, why, State.SALE_WORTH, say, grams=grams, minor=minor, on=on.isoformat(), buyer=buyer)


def _question(moment: Moment, grams: int, minor: int) -> Say:
    return moment.say("sale_worth", kg=Grams(grams), money=Money(minor, moment.facts.currency))


def _money(moment: Moment) -> int:
    return moment.conversation.whole("minor") or 0


def for_each(moment: Moment) -> Turn:
    """The money was for each kilo."""
    return _settle(moment, Worth.EACH)


def for_all(moment: Moment) -> Turn:
    """The money was for all."""
    return _settle(moment, Worth.ALL)


def _settle(moment: Moment, worth: Worth) -> Turn:
    grams, buyer = pending(moment), moment.conversation.text("buyer")
    return _keep(ended(moment), grams, _for_all(grams, _money(moment), worth), day_of(moment), buyer)


def neither(moment: Moment) -> Turn:
    """It was neither: nothing is kept."""
    return settled(ended(moment), "no sale is kept", moment.say("sale_left"))


def unclear(moment: Moment) -> Turn:
    """Take "each" or "all" in other words; anything else is asked once more."""
    worth = moment.reading.slots.worth
    if worth:
        return _settle(moment, worth)
    return missed(moment, "neither each nor all", _question(moment, pending(moment), _money(moment)))


def _keep(moment: Moment, grams: int, minor: int, on: date, buyer: str | None) -> Turn:
    """Keep a sale, unless a collection took fruit that day."""
    taken = _taken(moment, on)
    if not taken:
        return _kept(moment, grams, minor, on, buyer, besides=False)
    sure = next((basket for basket in taken if basket.is_told_by(on, grams, minor)), None)
    if sure is not None:
        return _known(moment, grams, on, sure.grams, sure.minor)
    return asked(
        moment,
        "the same fruit or other fruit is asked",
        State.SALE_SAME,
        _which_fruit(moment, grams, on, taken[0].grams),
        grams=grams,
        minor=minor,
        on=on.isoformat(),
        buyer=buyer,
        taken=taken[0].grams,
        worth=taken[0].minor,
    )


def _taken(moment: Moment, on: date) -> list[Basket]:
    purse = moment.someone().purse
    return [basket for basket in purse.baskets if basket.on == on] if purse else []


def _known(moment: Moment, grams: int, on: date, taken: int, worth: int) -> Turn:
    """Say that the money of that fruit is known from the collection."""
    say = moment.say(
        "sale_known",
        name=Name(moment.someone().name),
        kg=Grams(grams),
        date=on,
        kg_1=Grams(taken),
        money=Money(worth, moment.facts.currency),
    )
    return settled(moment, "the collection has told of that fruit", say)


def _which_fruit(moment: Moment, grams: int, on: date, taken: int) -> Say:
    return moment.say("sale_same", kg=Grams(grams), date=on, kg_1=Grams(taken))


def same_fruit(moment: Moment) -> Turn:
    """It is what the collection took: nothing is kept again."""
    taken, worth = moment.conversation.whole("taken") or 0, moment.conversation.whole("worth") or 0
    return _known(ended(moment), pending(moment), day_of(moment), taken, worth)


def other_fruit(moment: Moment) -> Turn:
    """It was sold besides what the collection took."""
    buyer = moment.conversation.text("buyer")
    return _kept(ended(moment), pending(moment), _money(moment), day_of(moment), buyer, besides=True)


def same_unclear(moment: Moment) -> Turn:
    """Ask once more."""
    taken = moment.conversation.whole("taken") or 0
    say = _which_fruit(moment, pending(moment), day_of(moment), taken)
    return missed(moment, "neither the same fruit nor other fruit", say)


def _kept(moment: Moment, grams: int, minor: int, on: date, buyer: str | None, *, besides: bool) -> Turn:
    farmer, currency = moment.someone(), moment.facts.currency
    save = SaveSale(
        id=moment.facts.new_id,
        farmer_id=farmer.id,
        plot_id=farmer.plot_id,
        grams=grams,
        minor=minor,
        on=on,
        buyer=buyer,
        besides=besides,
    )
    say = moment.say(
        "sale_noted",
        name=Name(farmer.name),
        kg=Grams(grams),
        money=Money(minor, currency),
        date=on,
        kilo_price=Money(per_kilo(minor, grams), currency),
    )
    return settled(moment, "the sale is kept", save, say)


def undo_sale(moment: Moment, saved: Saved) -> Turn:
    """Take a sale back."""
    money = Money(saved.minor, moment.facts.currency)
    say = moment.say("undone_sale", kg=Grams(saved.grams), money=money, date=saved.on)
    return settled(
        moment, "the last sale is taken back", VoidSale(id=saved.id, farmer_id=saved.farmer_id), say
    )
