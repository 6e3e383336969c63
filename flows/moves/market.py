"""Price of the farmer's markets, and the farmer's own year: what was told, and no promise of either."""

from typing import Final

from flows.alphabet import clip
from flows.money import Money
from flows.moves.turn import Moment, Turn, settled
from flows.trading import Quoted
from flows.wording import Grams, Joined, Name, Phrase, Value

# So many prices fit one part, with their days, whatever they are called.
MOST_PRICES: Final = 2
LONGEST_MARKET: Final = 20


def prices(moment: Moment) -> Turn:
    """Tell the newest prices with their days, or what to do where none is known."""
    purse = moment.someone().purse
    quotes = purse.quotes[:MOST_PRICES] if purse else ()
    if not quotes:
        return settled(moment, "no price is known", moment.say("prices_none"))
    lines = [_line(moment, quote) for quote in quotes]
    return settled(moment, "prices are told", moment.say("prices_told", prices=Joined(lines, between=", ")))


def _line(moment: Moment, quote: Quoted) -> Phrase:
    called = f"{quote.market} {quote.crop_class}".strip()
    values: dict[str, Value] = {
        "market": clip(called, at_most=LONGEST_MARKET),
        "kilo_price": Money(quote.minor, moment.facts.currency),
        "date": quote.on,
    }
    return Phrase("price.line", values)


def year(moment: Moment) -> Turn:
    """Tell kilos and money of the twelve months that end today."""
    farmer, currency = moment.someone(), moment.facts.currency
    told = farmer.purse.year if farmer.purse else None
    if told is None or not told.months:
        return settled(moment, "nothing was told in a year", moment.say("year_none", name=Name(farmer.name)))
    left = told.money_in - told.money_out
    say = moment.say(
        # Below zero it is said in words: a minus sign is overlooked on a small screen.
        "year_short" if left < 0 else "year_told",
        name=Name(farmer.name),
        total=Grams(told.picked),
        kg_sold=Grams(told.sold),
        money_in=Money(told.money_in, currency),
        money_out=Money(told.money_out, currency),
        margin=Money(abs(left), currency),
    )
    return settled(moment, "the year is told", say)
