"""Sales, costs, prices and the year: numbers that are kilos or money, for each kilo or for all."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal

import pytest

from flows.inputs import Harvest, Input, Words
from flows.reader import Reading
from flows.trading import Cost, CostKind, Price, Sold, Worth, Year

Says = Callable[[str], Reading]

YESTERDAY = date(2026, 11, 24)
EACH, ALL = Worth.EACH, Worth.ALL


def sold(
    grams: int | None = None,
    amount: int | str | None = None,
    worth: Worth | None = None,
    **more: object,
) -> Sold:
    """Return a sale as it is understood."""
    money = None if amount is None else Decimal(amount)
    return Sold(grams=grams, amount=money, worth=worth, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # Which of both it is, nobody has said.
        ("sold 12 kg 30000", sold(12_000, 30_000)),
        ("SOLD 12KG 30,000", sold(12_000, 30_000)),
        ("sold 12kg 30.000", sold(12_000, 30_000)),
        ("sold 12kg 30 000", sold(12_000, 30_000)),
        ("sold 12kg 300", sold(12_000, 300)),
        ("sold 5 at 2500", sold(5_000, 2_500)),
        ("sold 5kg @2500", sold(5_000, 2_500)),
        ("nimeuza 5 kwa 2500", sold(5_000, 2_500)),
        ("nimeuza kilo 12 shilingi 30000", sold(12_000, 30_000)),
        ("tumeuza kg 12.5 kwa elfu 30", sold(12_500, 30_000)),
        ("niliuza kilo tano elfu kumi na mbili", sold(5_000, 12_000)),
        ("nimeuza kg 12 laki moja", sold(12_000, 100_000)),
        ("sold 12 kg for sh 30k", sold(12_000, 30_000)),
        ("sold tsh 30000 12", sold(12_000, 30_000)),
        ("sold 3 kg 500 g 8750", sold(3_500, 8_750)),
        ("sold 2 boxes 10 kg 25000", sold(10_000, 25_000)),
        # For each kilo.
        ("nimeuza kilo 5 kwa 2500 kila kilo", sold(5_000, 2_500, EACH)),
        ("nimeuza kilo 5 kwa kilo 2500", sold(5_000, 2_500, EACH)),
        ("nimeuza kilo 5 kilo moja 2500", sold(5_000, 2_500, EACH)),
        ("nimeuza kilo moja 2500", sold(1_000, 2_500, EACH)),
        ("sold 5 kg 2500 each", sold(5_000, 2_500, EACH)),
        ("sold 5 kg sh.2500/= per kg", sold(5_000, 2_500, EACH)),
        ("sold 5 kg at 2,500 a kilo", sold(5_000, 2_500, EACH)),
        ("we sold 5 kg @2500/kg", sold(5_000, 2_500, EACH)),
        ("nimeuza kilo 5 kwa bei ya 2500 kwa kilo", sold(5_000, 2_500, EACH)),
        # For all.
        ("sold 12 kg 30000 for all", sold(12_000, 30_000, ALL)),
        ("nimeuza kilo 12 jumla 30000", sold(12_000, 30_000, ALL)),
        ("nimeuza kilo 12 zote 30000", sold(12_000, 30_000, ALL)),
        # Three figures that fit each other say it themselves; three that do not are asked.
        ("sold 12 kg 2500 30000", sold(12_000, 30_000, ALL)),
        ("sold 12 kg at 2500 each total 30000", sold(12_000, 30_000, ALL)),
        ("sold 12 kg 2500 31000", sold(12_000)),
        # Both said at once say nothing.
        ("sold 12 kg 30000 each all", sold(12_000, 30_000)),
        # Days and buyers.
        ("sold yesterday 12.5 kg for 31250", sold(12_500, 31_250, on=YESTERDAY)),
        ("sold 5 kg 2500 each last week", sold(5_000, 2_500, EACH, vague=True)),
        ("sold 5 kg 2500 per kilo to mama Asha", sold(5_000, 2_500, EACH, buyer="mama Asha")),
        ("sold 5 kg 12500 to Juma Mwanga", sold(5_000, 12_500, buyer="Juma Mwanga")),
        ("sold 5 kg to the hotel 12500", sold(5_000, 12_500, buyer="the hotel")),
        ("nimeuza kilo 5 kwa Juma 12500", sold(5_000, 12_500, buyer="Juma")),
        # Something is missing.
        ("sold", sold()),
        ("tayari nimeuza", sold()),
        ("nimeuza kilo 12", sold(12_000)),
        ("sold 30000", sold()),
        ("sold 8 trays 12000", sold()),
        ("sold 1,250 kg 3000000", sold()),
        ("sold 5 kg and 4 kg 20000", sold()),
    ],
)
def test_a_sale_is_read(says: Says, text: str, expected: Sold) -> None:
    """Kilos first, then money; what it was for only where that was said."""
    assert expected == says(text).input


def spent(kind: CostKind | None = None, amount: int | None = None, **more: object) -> Cost:
    """Return a cost as it is understood."""
    return Cost(kind=kind, amount=None if amount is None else Decimal(amount), **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("cost manure 15000", spent(CostKind.MANURE, 15_000)),
        ("gharama mbolea 15000", spent(CostKind.MANURE, 15_000)),
        ("gharama 15,000 ya mbolea jana", spent(CostKind.MANURE, 15_000, on=YESTERDAY)),
        ("nimenunua mbolea elfu 15", spent(CostKind.MANURE, 15_000)),
        ("nimelipa vibarua 20000", spent(CostKind.LABOUR, 20_000)),
        ("gharama vibarua siku 3 15000", spent(CostKind.LABOUR, 15_000)),
        ("spent 5000 on transport", spent(CostKind.TRANSPORT, 5_000)),
        ("gharama nauli sh 2000", spent(CostKind.TRANSPORT, 2_000)),
        ("cost 200 seedlings 60000", spent(CostKind.SEEDLINGS, 60_000)),
        ("cost mulch 30k", spent(CostKind.MULCH, 30_000)),
        ("gharama maji 3000", spent(CostKind.WATER, 3_000)),
        ("cost punnets 4000", spent(CostKind.PACKING, 4_000)),
        ("gharama miche 60000", spent(CostKind.SEEDLINGS, 60_000)),
        ("gharama mifuko 3 ya mbolea kilo 50 15000", spent(CostKind.MANURE, 15_000)),
        ("cost string 4000", spent(CostKind.OTHER, 4_000)),
        ("cost 15000", spent(None, 15_000)),
        ("paid 5000 for transport", spent(CostKind.TRANSPORT, 5_000)),
        ("bought manure 15000", spent(CostKind.MANURE, 15_000)),
        ("cost manure", spent(CostKind.MANURE)),
        ("cost", spent()),
        ("cost seedlings 200 each 300", spent(CostKind.SEEDLINGS)),
        ("cost manure 15000 transport 5000", spent()),
    ],
)
def test_a_cost_is_read(says: Says, text: str, expected: Cost) -> None:
    """What for and how much; two things at once, or a price by the piece, leave the sum open."""
    assert expected == says(text).input


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("PRICE", Price()),
        ("price?", Price()),
        ("prices today", Price()),
        ("market price", Price()),
        ("bei", Price()),
        ("bei gani leo?", Price()),
        ("bei ya stroberi", Price()),
        ("soko", Price()),
        ("MY YEAR", Year()),
        ("year", Year()),
        ("total this year", Year()),
        ("mwaka wangu", Year()),
        ("jumla ya mwaka", Year()),
        ("Mwaka?", Year()),
        ("my year?", Year()),
        ("what is the price of strawberries?", Price()),
        ("kilo ni shilingi ngapi", Price()),
    ],
)
def test_prices_and_the_year_are_asked_for(says: Says, text: str, expected: Input) -> None:
    """A question mark is no hindrance where a word can only ask."""
    assert expected == says(text).input


@pytest.mark.parametrize(
    "text",
    [
        "sold?",
        "sijauza",
        "sold out everything at the market quickly yesterday morning",
        "I sold nothing",
        "sold -5 kg",
        "uliuza ngapi?",
        "bei ya mbolea imepanda",
        "price 2500",
        "nimenunua simu mpya",
        "I bought a new phone",
        "cost of manure?",
        "sijalipa vibarua",
        "the market was closed",
        "prize",
        "mwaka jana nilipanda",
    ],
)
def test_a_sentence_about_money_is_for_a_person(says: Says, text: str) -> None:
    """Nothing is kept of a question, a denial or a story."""
    assert isinstance(says(text).input, Words)


def test_what_was_sold_is_not_what_was_picked(says: Says) -> None:
    """The first word says which: both may be told of the same fruit."""
    assert isinstance(says("nimevuna kilo 12").input, Harvest)
    assert isinstance(says("nimeuza kilo 12 30000").input, Sold)
