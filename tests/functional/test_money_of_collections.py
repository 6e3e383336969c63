"""What collections took is a farmer's money as well: counted once, however often it is told."""

from datetime import timedelta
from typing import Final

import pytest

from service.core.collecting import WhyRejected
from service.use_cases.collecting.delivering import Brought, enter
from service.use_cases.gross_margin import PlotMoney, money_of_plot
from service.use_cases.money import months_of
from tests.riverside import SATURDAY, Riverside, until
from tests.village import Phone, Village

FRIDAY: Final = SATURDAY - timedelta(days=1)


@pytest.fixture
def group(village: Village) -> Riverside:
    """The group Riverside."""
    return Riverside(village)


@pytest.fixture
def neema(village: Village, group: Riverside) -> Phone:
    """Neema, of whom 11.5 kg were accepted on Saturday at 2,500, and half a kilo not; it is noon of that day."""
    phone = group.joins()
    group.is_collected()
    until(village, SATURDAY, 11)
    brings(village, group)
    until(village, SATURDAY, 12)
    return phone


def brings(village: Village, group: Riverside) -> None:
    """Let the clerk enter what Neema brought."""
    brought = Brought(accepted_g=11_500, rejected_g=500, reason=WhyRejected.UNRIPE, words="", price=2_500)
    with village.database.work() as work:
        enter(
            work,
            village.tools,
            group.deed,
            group.collection,
            SATURDAY,
            farmer_id=group.farmer("Neema"),
            brought=brought,
        )


def sales(village: Village) -> list[tuple[object, object]]:
    """Return the grams and the money of the sales that are kept."""
    rows = village.rows("SELECT grams, minor FROM sale WHERE voided_by IS NULL ORDER BY id")
    return [(row["grams"], row["minor"]) for row in rows]


def page(village: Village, group: Riverside) -> PlotMoney:
    """Return the money of Neema's plot as her page shows it."""
    with village.database.look() as work:
        (plot,) = work.plots.of_farmer(group.farmer("Neema"))
        return money_of_plot(
            work.money, village.tools, plot.id, village.today, farmer_id=plot.farmer_id, newest=True
        )


def test_what_was_accepted_counts_in_the_year_and_on_the_page(
    village: Village, group: Riverside, neema: Phone
) -> None:
    """11.5 kg at 2,500 are 28,750, whether paid or owed; 10,000 went out: 18,750 left, covered from 870 a kilo on."""
    neema.says("cost manure 10000")
    year = neema.says("my year")
    money = page(village, group)
    with village.database.look() as work:
        plots = work.plots.of_farmer(group.farmer("Neema"))
        november = months_of(work, plots, village.tools.programme.currency, village.today)[-1]

    assert "sold 11.5 kg, in TZS 28,750, out TZS 10,000, left TZS 18,750." in year
    assert (11_500, 28_750) == (november.sold, november.money_in)
    assert money.margin is not None
    assert 18_750 == money.margin.work_unpaid.gross_margin
    assert 870 == money.margin.work_unpaid.break_even.price_per_kg
    assert 28_750 == money.earned.owed


@pytest.mark.parametrize(
    "told",
    [
        pytest.param("sold 11.5 kg 28750 for all", id="the same kilos and money"),
        pytest.param("sold 12 kg 2500 each", id="the kilos that came"),
        pytest.param("nimeuza kilo 13 jumla 28750", id="the same money"),
    ],
)
def test_the_same_fruit_is_not_noted_twice(village: Village, neema: Phone, told: str) -> None:
    """Kilos or money of that day lie a tenth off at most: it is told that they are known."""
    answer = neema.says(told)

    assert (
        "the collection has noted 11.5 kg for TZS 28,750 of that day already. We note it only once."
        in (answer)
        or "ukusanyaji umeshaandika kilo 11.5 kwa TZS 28,750" in answer
    )
    assert [] == sales(village)


@pytest.mark.parametrize(
    ("reply", "kept", "sold"),
    [
        ("1", [], "11.5"),
        ("2", [(5_000, 12_500)], "16.5"),
        ("undo", [], "11.5"),
        ("other", [(5_000, 12_500)], "16.5"),
    ],
)
def test_other_kilos_of_that_day_are_asked_about(
    village: Village, neema: Phone, reply: str, kept: list[tuple[int, int]], sold: str
) -> None:
    """The same fruit is kept once, other fruit counts on top, and nothing is kept before the answer."""
    question = neema.says("sold 5 kg 2500 each")
    before = sales(village)
    neema.says(reply)

    assert question == (
        "You told of 5 kg sold on Sat 28/11. That day the collection accepted 11.5 kg from you. "
        "Was it 1 the same fruit 2 other fruit?"
    )
    assert [] == before
    assert kept == sales(village)
    assert f"sold {sold} kg" in neema.says("my year")


def test_on_another_day_nothing_is_asked(village: Village, neema: Phone) -> None:
    """A sale of the day before is other fruit."""
    answer = neema.says("sold 11.5 kg 2500 each yesterday")

    assert "noted for Fri 27/11" in answer
    assert "sold 23 kg" in neema.says("my year")


def test_told_before_the_clerk_entered_it_is_counted_once(village: Village, group: Riverside) -> None:
    """The sale stays as told and is not counted; the page says so."""
    neema = group.joins()
    group.is_collected()
    until(village, SATURDAY, 11)
    neema.says("sold 12 kg 30000 for all")
    alone = neema.says("my year")
    brings(village, group)
    both = neema.says("my year")
    money = page(village, group)

    assert "sold 12 kg, in TZS 30,000" in alone
    assert "sold 11.5 kg, in TZS 28,750" in both
    assert [12_000] == [sale.grams for sale in money.earned.uncounted]
