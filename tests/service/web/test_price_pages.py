"""The page of prices: what farmers are told, and how a wrong figure is kept from them."""

from collections.abc import Mapping
from typing import Final

import pytest

from service.core.rights import Role
from tests.stand_in_house import Planter, StandInHouse
from tests.web_desk import Desk

TODAY: Final = "2026-11-25"


def kept(house: StandInHouse) -> list[tuple[object, ...]]:
    """Return what is kept of prices."""
    with house.database.engine.connect() as connection:
        rows = connection.exec_driver_sql(
            "SELECT market, crop_class, minor, currency, quoted_on FROM price ORDER BY id"
        )
        return [(*row[:4], str(row[4])) for row in rows]


def form(planter: Planter, **more: str) -> Mapping[str, str]:
    """Return a form that is kept as it stands, but for what is given."""
    usual = {
        "district": str(planter.districts["Ndaliro"]),
        "market": "Soko Kuu",
        "class": "",
        "price": "2,500",
        "on": TODAY,
    }
    return {**usual, **more}


def test_a_price_is_kept_and_listed(desk: Desk, house: StandInHouse, planter: Planter) -> None:
    """Before any is known the page says what farmers are told instead."""
    path = f"/prices?district={planter.districts['Ndaliro']}"
    before = desk.text(path)
    done = desk.send("/prices", **form(planter))
    after = desk.text(path)

    assert "No price of the last 30 days is known: a farmer who texts PRICE is told so." in before
    assert 303 == done.status_code
    assert [("Soko Kuu", "", 2_500, "TZS", TODAY)] == kept(house)
    assert "is told 1 price, the newest first." in after
    assert "2,500" in after
    assert "by Officer Mlima" in after
    # Whoever noted it stands in the record.
    with house.database.look() as work:
        assert ["price.noted"] == [row.action for row in work.audit.rows() if "price" in row.action]


def test_the_same_price_is_not_kept_twice(desk: Desk, house: StandInHouse, planter: Planter) -> None:
    """Sent again, or with other capitals, it is the same; a newer one takes its place."""
    desk.send("/prices", **form(planter))
    desk.send("/prices", **form(planter, market=" soko  KUU "))
    desk.send("/prices", **form(planter, market="soko kuu", price="2600"))
    page = desk.text(f"/prices?district={planter.districts['Ndaliro']}")

    assert [("Soko Kuu", 2_500), ("Soko Kuu", 2_600)] == [(row[0], row[2]) for row in kept(house)]
    assert "is told 1 price" in page


def test_four_prices_are_more_than_a_text_has_room_for(desk: Desk, planter: Planter) -> None:
    """The oldest is shown as left out."""
    for place in range(4):
        desk.send("/prices", **form(planter, market=f"Soko {'ABCD'[place]}", on=f"2026-11-{20 + place}"))
    page = desk.text(f"/prices?district={planter.districts['Ndaliro']}")

    assert "is told 2 prices" in page
    assert "Soko A" in page.partition("Left out of the text")[2].partition("Note a price")[0]


@pytest.mark.parametrize("price", ["250", "25000"])
def test_a_figure_too_many_or_too_few_is_asked_about(
    desk: Desk, house: StandInHouse, planter: Planter, price: str
) -> None:
    """Farmers would be told of it; whoever says that it is right may keep it."""
    desk.send("/prices", **form(planter))
    refused = desk.send("/prices", **form(planter, price=price))
    sure = desk.send("/prices", **form(planter, price=price, sure="yes"))

    assert (400, 303) == (refused.status_code, sure.status_code)
    assert "The last price there was TZS 2,500: this one is more than 3 times off." in refused.text
    assert f'value="{price}"' in refused.text
    assert [2_500, int(price)] == [row[2] for row in kept(house)]


@pytest.mark.parametrize("price", ["834", "7500"])
def test_three_times_is_no_slip(desk: Desk, house: StandInHouse, planter: Planter, price: str) -> None:
    """Prices of fruit do move that far in a season."""
    desk.send("/prices", **form(planter))
    desk.send("/prices", **form(planter, price=price))

    assert [2_500, int(price)] == [row[2] for row in kept(house)]


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"market": " "}, "Write the market&#39;s name."),
        ({"market": "M" * 20, "class": "large"}, "A text has room for 20 letters"),
        ({"market": "Рынок"}, "Write the market in plain letters"),
        ({"market": "Call 0712"}, "Write the market in plain letters"),
        ({"price": "cheap"}, "Write the price of a kilo in figures, like 2500."),
        ({"price": "nan"}, "Write the price of a kilo in figures, like 2500."),
        ({"price": "0"}, "Write the price of a kilo in figures, above nothing."),
        ({"price": "-5"}, "Write the price of a kilo in figures, above nothing."),
        ({"on": "yesterday"}, "Write the day of the price as day, month and year."),
        ({"on": "2026-11-26"}, "A price is of the last 30 days: give another day."),
        ({"on": "2026-10-25"}, "A price is of the last 30 days: give another day."),
    ],
)
def test_what_cannot_be_a_price_is_told(
    desk: Desk, house: StandInHouse, planter: Planter, more: Mapping[str, str], sentence: str
) -> None:
    """One sentence that says what to do, and nothing is kept."""
    page = desk.send("/prices", **form(planter, **more))

    assert 400 == page.status_code
    assert sentence in page.text
    assert [] == kept(house)


def test_whoever_has_no_district_is_told_so(desk: Desk, house: StandInHouse) -> None:
    """There is nothing to show them."""
    alone = Desk(house=house, app=desk.app)
    alone.sign_in("Officer Tulia", role=Role.OFFICER)

    assert "You have no district yet: an administrator gives you one." in alone.text("/prices")
