"""What farmers have seen on their plants: on the farmer's page, and on Today where a village sees more of it."""

import re
from datetime import timedelta

from service.db.tables.dangers import danger
from service.db.tables.plots import scout_report
from tests.stand_in_house import TODAY, Planter, StandInHouse
from tests.web_desk import Desk


def test_the_last_looks_stand_on_the_farmers_page(desk: Desk, planter: Planter, house: StandInHouse) -> None:
    """Six of them, the latest first; those of another plot are another farmer's."""
    (asha, _), (juma, _) = planter.farmer("Asha"), planter.farmer("Juma")
    plot, other = planter.plot(asha), planter.plot(juma)
    for place, finding in enumerate(("slugs", "clear", "mites", "clear", "flies", "clear", "grey_mould")):
        seen_on = TODAY - timedelta(weeks=6 - place)
        house.put(scout_report, plot_id=plot, seen_on=seen_on, finding=finding, inbound_id=place)
    before = desk.text(f"/farmers/{juma}")
    house.put(scout_report, plot_id=other, seen_on=TODAY, finding="flies", inbound_id=9)
    page = desk.text(f"/farmers/{asha}").partition('id="looks"')[2].partition("</section>")[0]

    assert 'id="looks"' not in before
    assert [
        "grey mould on fruit",
        "nothing",
        "flies on fruit",
        "nothing",
        "tiny dots or webs, as mites make them",
        "nothing",
    ] == re.findall("<td>(.*?)</td>", page)


def test_a_village_that_sees_more_stands_on_today_and_makes_a_draft(
    desk: Desk, planter: Planter, house: StandInHouse
) -> None:
    """It names the village and until when it counts; the draft is for that village and can be changed."""
    farmer, _ = planter.farmer("Asha")
    planter.plot(farmer)
    number, place = planter.danger(), planter.village("Upper Field")
    with house.database.engine.begin() as connection:
        connection.execute(
            danger.update().values(hazard="pests", pest="grey_mould", village_id=place, figure=None)
        )
    today = desk.text("/")
    answer = desk.send(f"/dangers/{number}/write")

    assert "seen by more farmers, until Thu 26 Nov" in today
    assert "Upper Field, Ndaliro" in today
    assert "more farmers near you see grey mould on fruit" in desk.text(answer.location)
    assert re.search(rf'name="village" value="{place}"[^>]*checked', desk.text(f"{answer.location}/edit"))
