"""Dangers on Today: for whoever has the district, with a draft a press away and nothing sent by itself."""

import re
from datetime import timedelta

from service.core.rights import Role
from service.db.tables.dangers import danger
from service.db.tables.outbox import message
from tests.stand_in_house import TODAY, Planter, StandInHouse
from tests.web_desk import Desk


def test_a_danger_leads_to_a_draft_that_tells_its_reason(desk: Desk, planter: Planter) -> None:
    """One press makes the draft, whose page says from which forecast it comes; Today says that nobody is told yet."""
    planter.farmer("Asha")
    number = planter.danger()
    today = desk.text("/")
    answer = desk.send(f"/dangers/{number}/write")
    draft = desk.text(answer.location)

    assert "1 thing" in today
    assert "cold night, night of Wed 25 to Thu 26 Nov" in today
    assert "nobody has been told" not in today
    assert "lowest 1.4 °C" in today
    assert re.fullmatch(r"/alerts/\d+", answer.location)
    assert "lowest 1.4 °C" in draft
    assert "cold likely from Wed 25/11 evening, 1 C" in draft
    assert "A draft." in draft
    assert "Night of Wed 25 to Thu 26 Nov." in draft
    after = desk.text("/")
    assert "1 thing" in after
    assert "A draft is made, nobody has been told yet." in after
    assert f'href="{answer.location}">Read and send the draft' in after


def test_a_draft_thrown_away_brings_the_danger_back(desk: Desk, planter: Planter) -> None:
    """It stands there as before, says so, and another draft can be made of it."""
    planter.farmer("Asha")
    number = planter.danger()
    first = desk.send(f"/dangers/{number}/write").location
    desk.send(f"{first}/call_off")
    today = desk.text("/")
    second = desk.send(f"/dangers/{number}/write").location

    assert "An alert was made of it and came to nothing: nobody has been told." in today
    assert "Make a draft" in today
    assert first != second
    assert "A draft." in desk.text(second)


def test_a_confirmed_alert_stays_until_a_text_has_left(
    desk: Desk, planter: Planter, house: StandInHouse
) -> None:
    """It needs no person any more while it waits to leave, and is gone from Today when it has left."""
    _, phone = planter.farmer("Asha")
    number = planter.danger()
    alert = desk.send(f"/dangers/{number}/write").location
    (digest,) = set(re.findall(r'name="digest" value="(\w+)"', desk.text(alert)))
    desk.send(f"{alert}/confirm", digest=digest)
    confirmed = desk.text("/")
    key = planter.text_out(phone, "Cold.", ago=timedelta(), kind="urgent_alert", state="accepted")
    with house.database.engine.begin() as connection:
        of_alert = message.update().where(message.c.id == key[1])
        connection.execute(of_alert.values(alert_id=int(alert.rpartition("/")[2])))
    told = desk.text("/")

    assert "Its alert is scheduled, nobody has been told yet." in confirmed
    assert "Leave it" not in confirmed
    assert "0 things" not in confirmed
    assert "Nothing needs a person now" in confirmed
    assert "cold night" not in told


def test_a_danger_left_is_put_by_with_a_name(desk: Desk, planter: Planter) -> None:
    """It needs nobody any more, and who has left it stands in a fold; a second click adds nothing to the record."""
    number = planter.danger()
    for _ in range(2):
        desk.send(f"/dangers/{number}/leave")
    with desk.house.database.look() as work:
        deeds = [row.action for row in work.audit.rows()]

    today = desk.text("/")
    assert "Nothing needs a person now" in today
    assert "Left at that, nobody was told: 1 danger" in today
    assert re.search(r"Cold night, night of Wed 25 to Thu 26 Nov, Ndaliro <span class=\"soft\">by \w+", today)
    assert 1 == deeds.count("danger.left")


def test_without_a_prepared_text_the_plants_are_looked_at(
    desk: Desk, planter: Planter, house: StandInHouse
) -> None:
    """Mould has no warning of its own: no draft is offered, nor made for who asks by hand."""
    number = planter.danger()
    with house.database.engine.begin() as connection:
        connection.execute(danger.update().values(hazard="grey_mould", figure=None))
    today = desk.text("/")
    answer = desk.send(f"/dangers/{number}/write")

    assert "have the plants looked at" in today
    assert "Make a draft" not in today
    assert 400 == answer.status_code
    assert "There is no prepared text for that" in answer.text


def test_dangers_are_for_their_district(desk: Desk, planter: Planter) -> None:
    """Another district's does not stand on an officer's Today."""
    planter.danger("Zaruvi")
    desk.sign_in("Tulia", role=Role.OFFICER, districts=frozenset({planter.districts["Ndaliro"]}))

    assert "cold night" not in desk.text("/")


def test_the_gravest_stand_first_and_the_rest_are_counted(
    desk: Desk, planter: Planter, house: StandInHouse
) -> None:
    """Eight at most; more is no list anybody reads in the evening."""
    for place, district in enumerate(planter.districts):
        planter.danger(district, level=2 + place % 2, reason=f"In {district}.")
    more = [("heavy_rain", 4), ("heat", 2), ("mildew", 2)]
    for hazard, level in more:
        for district in ("Ndaliro", "Zaruvi"):
            number = planter.districts[district]
            house.put(
                danger,
                district_id=number,
                hazard=hazard,
                day=TODAY + timedelta(days=1),
                level=level,
                figure=60,
                reason=hazard,
                state="open",
                found_at=house.service_clock.now(),
            )
    page = desk.text("/")
    levels = re.findall(r"<b>(prepare|act|act first|look)</b>", page)

    assert "10 things" in page
    assert ["act first", "act first", "act", "act"] == levels[:4]
    assert (4, {"prepare", "look"}) == (len(levels[4:]), set(levels[4:]))
    assert "And 2 more dangers by the weather." in page


def test_people_who_ask_stand_above_weather_that_is_days_off(desk: Desk, planter: Planter) -> None:
    """First who needs help, then tonight's cold, then who asks, and last a night for which there is time to write."""
    asha, phone = planter.farmer("Asha")
    planter.danger(ahead=4, reason="In four days.")
    planter.danger("Ketumali", reason="Tonight.")
    planter.question(phone, "When do you buy?", ago=timedelta(hours=5), farmer_id=asha)
    planter.question(
        phone, "Water stands in my field", ago=timedelta(hours=1), farmer_id=asha, urgency="need_help"
    )
    today = desk.text("/")
    said = ("Water stands in my field", "Tonight.", "When do you buy?", "In four days.")

    assert sorted(said, key=today.index) == list(said)
    assert all(1 == today.count(one) for one in said)
