"""Money on a farmer's page and on the sheet of their year."""

from datetime import date, timedelta

import pytest

from service.db.tables import money
from tests.stand_in_house import NOW, TODAY, Planter, StandInHouse
from tests.web_desk import Desk


@pytest.fixture
def farmer(planter: Planter) -> int:
    """Asha in Ndaliro, with a plot of 450 plants that she picks from."""
    made, phone = planter.farmer("Asha Mwarobi")
    plot = planter.plot(made)
    planter.weight(plot, phone, ago=1, grams=45_000)
    return made


def plot_of(house: StandInHouse, farmer: int) -> int:
    """Return the farmer's plot."""
    with house.database.look() as work:
        return work.plots.of_farmer(farmer)[0].id


def sell(house: StandInHouse, farmer: int, grams: int, minor: int, on: date = TODAY) -> None:
    """Let a sale have been told."""
    house.put(
        money.sale,
        plot_id=plot_of(house, farmer),
        sold_on=on,
        grams=grams,
        minor=minor,
        currency="TZS",
        buyer="mama Juma",
        inbound_id=1,
        phone_id=1,
        at=NOW,
    )


def spend(house: StandInHouse, farmer: int, kind: str, minor: int, on: date = TODAY) -> None:
    """Let a cost have been told."""
    house.put(
        money.cost,
        plot_id=plot_of(house, farmer),
        spent_on=on,
        kind=kind,
        minor=minor,
        currency="TZS",
        inbound_id=1,
        phone_id=1,
        at=NOW,
    )


def section(page: str) -> str:
    """Return the part of a farmer's page that is about money."""
    return page.partition('<h2 id="money">')[2].partition("</section>")[0]


def test_sales_costs_and_margin_stand_on_the_page(desk: Desk, house: StandInHouse, farmer: int) -> None:
    """30,000 and 16,000 in, a third of 90,000 for plants out: 16,000 left, covered from 1,500 a kilo on."""
    sell(house, farmer, 12_000, 30_000)
    sell(house, farmer, 8_000, 16_000, TODAY - timedelta(days=30))
    spend(house, farmer, "seedlings", 90_000)
    money_told = section(desk.text(f"/farmers/{farmer}"))

    assert "<dd>20.00 kg</dd>" in money_told
    assert "<dt>gross margin, TZS</dt><dd>16,000</dd>" in money_told
    assert "Costs are covered from TZS 1,500 a kilo on." in money_told
    assert "plants are spread over the three years of a stand" in money_told
    assert "12.00 kg to mama Juma" in money_told
    assert "<td>plants</td>" in money_told


def test_without_costs_no_price_covers_them(desk: Desk, house: StandInHouse, farmer: int) -> None:
    """A sale alone: that costs are covered from 0 on would say nothing."""
    sell(house, farmer, 12_000, 30_000)
    money_told = section(desk.text(f"/farmers/{farmer}"))

    assert "No cost has been told." in money_told
    assert "covered" not in money_told


def test_a_loss_is_marked(desk: Desk, house: StandInHouse, farmer: int) -> None:
    """Costs without a sale: no price can be said."""
    spend(house, farmer, "manure", 15_000)
    money_told = section(desk.text(f"/farmers/{farmer}"))

    assert '<dd class="berry">-15,000</dd>' in money_told
    assert "Nothing was sold, so no price can be said that covers the costs." in money_told


def test_nothing_told_says_how(desk: Desk, farmer: int) -> None:
    """The officer can tell the farmer which words there are."""
    assert "A farmer texts SOLD and COST; HELP 3 says how." in section(desk.text(f"/farmers/{farmer}"))


@pytest.mark.parametrize(("language", "words"), [("en", "Nothing has been told yet"), ("sw", "Bado hakuna")])
def test_a_year_of_which_nothing_was_told_has_no_rows(
    desk: Desk, planter: Planter, language: str, words: str
) -> None:
    """Twelve rows of nothing and a sum of 0 would look like a year without fruit."""
    made, _ = planter.farmer("Neema", language=language)
    planter.plot(made)
    page = desk.text(f"/farmers/{made}/year")

    assert words in page
    assert "<tbody>" not in page
    assert "<dd>0" not in page


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", ("Strawberry year", "November 2026", "December 2025", "Left, TZS", "work")),
        ("sw", ("Mwaka wa stroberi", "Novemba 2026", "Desemba 2025", "Iliyobaki, TZS", "vibarua")),
    ],
)
def test_the_year_is_a_sheet_in_the_farmers_language(
    desk: Desk, house: StandInHouse, planter: Planter, language: str, words: tuple[str, ...]
) -> None:
    """Twelve months, each with what was told of it, and what that adds up to: 45 kg of 450 plants, 25,000 left."""
    made, phone = planter.farmer("Asha Mwarobi", language=language)
    planter.weight(planter.plot(made), phone, ago=1, grams=45_000)
    sell(house, made, 12_000, 30_000)
    spend(house, made, "labour", 5_000, date(2025, 12, 1))
    # The month before these twelve.
    spend(house, made, "labour", 700, date(2025, 11, 30))
    page = desk.text(f"/farmers/{made}/year")
    rows = page.partition("<tbody>")[2].partition("</tbody>")[0].split("<tr>")[1:]

    assert [] == [word for word in words if word not in page]
    assert 12 == len(rows)
    assert "5,000" in rows[0]
    assert all(figure in rows[-1] for figure in ("45.00", "12.00", "30,000"))
    assert "<dd>25,000</dd>" in page
    assert "<dd>0.10</dd>" in page
    assert "<dd>2,500</dd>" in page
