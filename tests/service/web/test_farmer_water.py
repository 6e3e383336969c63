"""The water of a plot on the farmer's page."""

import re
from datetime import timedelta

from service.db.tables import watering
from tests.stand_in_house import NOW, TODAY, Planter, StandInHouse
from tests.web_desk import Desk


def shown(desk: Desk, farmer: int) -> str:
    """Return the words of the part of the page that is about water."""
    page = desk.text(f"/farmers/{farmer}")
    part = page.partition('<h2 id="water">')[2].partition("</section>")[0]
    return " ".join(re.sub(r"<[^>]+>", " ", part).split())


def tell_rain(house: StandInHouse, farmer: int, *, ago: int, tenths: int, phone: int) -> None:
    """Let a farmer have told what the gauge held."""
    house.put(
        watering.rain_report,
        farmer_id=farmer,
        day=TODAY - timedelta(days=ago),
        tenths_mm=tenths,
        inbound_id=1,
        phone_id=phone,
        at=NOW,
    )


def test_what_a_plot_needs_stands_with_what_it_rests_on(desk: Desk, planter: Planter) -> None:
    """At 2,150 m on a usual day of November, plants of 212 days under straw: every figure, and what was taken.

    28 - 5.5 x 2.15 = 16.18 degrees over the year, and 0.51 more in November: 10.7 to 22.7 degrees. Eq. 52 of FAO-56:
    0.0023 x 34.48 x 12^0.5 x 15.69 = 4.31 mm; x 0.85 x 0.85 for straw = 3.11; x 0.225 / 0.75 = 0.93 litres a plant,
    420 for 450 plants.
    """
    farmer, _ = planter.farmer("Asha")
    planter.plot(farmer)

    words = shown(desk, farmer)

    assert "a plant 0.9 l the plot 420 l cans of 10 l 42 least, if water is short 210 l" in words
    assert "11 to 23 °C, no weather is known: a usual day of this month" in words
    assert "4.31 mm a day (Hargreaves, FAO-56 Eq. 52" in words
    assert "3.11 mm a day, 0.72 of it" in words
    assert "latitude -6.8°, of the time zone&#39;s main place; loam" in words
    assert "0.30 m from plant to plant; cans of 10 litres" in words
    assert "Waters with not told Rain gauge nothing told in two weeks" in words


def test_what_the_farmer_told_stands_there(desk: Desk, planter: Planter, house: StandInHouse) -> None:
    """The can and two weeks of the gauge; today's rain is enough for today."""
    farmer, phone = planter.farmer("Asha")
    planter.plot(farmer)
    house.put(watering.container, farmer_id=farmer, kind="can", millilitres=20_000, at=NOW)
    for ago, tenths in ((0, 125), (3, 40), (14, 300)):
        tell_rain(house, farmer, ago=ago, tenths=tenths, phone=phone)

    words = shown(desk, farmer)

    assert "cans of 20 l 0" in words
    assert "12.5 mm fell: enough for today" in words
    assert "Waters with a can of 20 litres Rain gauge Wed 25 Nov: 12.5 mm; Sun 22 Nov: 4.0 mm" in words
    assert "cans of 20 litres" not in words.partition("Waters with")[0]


def test_where_no_plants_stand_no_water_is_told(desk: Desk, planter: Planter) -> None:
    """A plot that is still to be planted."""
    farmer, _ = planter.farmer("Asha")
    planter.plot(farmer, age=-20)

    assert shown(desk, farmer).startswith("Water today No plants stand on this plot now.")
