"""Dangers on Today: for whoever has the district, with a draft a press away and nothing sent by itself."""

import re
from datetime import timedelta

from service.core.rights import Role
from service.db.tables.dangers import danger
from tests.stand_in_house import TODAY, Planter, StandInHouse
from tests.web_desk import Desk


def test_a_danger_leads_to_a_draft_that_tells_its_reason(desk: Desk, planter: Planter) -> None:
    """Today counts it, one press makes the draft, and the draft's page says from which forecast it comes."""
    planter.farmer("Asha")
    number = planter.danger()
    today = desk.text("/")
    answer = desk.send(f"/dangers/{number}/write")
    draft = desk.text(answer.location)

    assert "1 thing" in today
    assert "cold night, Thu 26 Nov" in today
    assert "lowest 1.4 °C" in today
    assert re.fullmatch(r"/alerts/\d+", answer.location)
    assert "lowest 1.4 °C" in draft
    assert "cold night likely Wed 25/11, 1 C" in draft
    assert "A draft." in draft
    assert "cold night, Thu" not in desk.text("/")


def test_a_danger_left_is_gone_from_today(desk: Desk, planter: Planter) -> None:
    """It needs nobody any more; a second click adds nothing to the record."""
    number = planter.danger()
    for _ in range(2):
        desk.send(f"/dangers/{number}/leave")
    with desk.house.database.look() as work:
        deeds = [row.action for row in work.audit.rows()]

    assert "Nothing needs a person now" in desk.text("/")
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
    levels = re.findall(r"<b>(watch|high|severe)</b>", page)

    assert "10 things" in page
    assert ["severe", "severe", "high", "high", *["watch"] * 4] == levels
    assert "And 2 more dangers by the weather." in page
