"""The pages of collections: set and changed by officers, used by a clerk who sees nothing else."""

import re
from datetime import date

import pytest

from service.core.rights import Role
from tests.stand_in_house import Planter, StandInHouse
from tests.web_desk import Desk

PLAN = {"place": "Ndaliro store", "hour": "9", "first": "2026-11-28", "last": "", "day_5": "1", "day_1": "1"}


@pytest.fixture
def farmer(planter: Planter) -> int:
    """Asha in Ndaliro, whose plants bear."""
    made, _ = planter.farmer("Asha Mwarobi")
    planter.plot(made)
    return made


def test_an_officer_sets_days_and_the_farmers_plot_follows(
    desk: Desk, house: StandInHouse, planter: Planter, farmer: int
) -> None:
    """The list shows the coming days; on the farmer's page stands what sets the picking days now."""
    group = planter.group("Riverside")
    with house.database.work() as work:
        work.people.set_farmer(farmer, group_id=group)
        work.commit()
    refused = desk.send("/collections/new", **{**PLAN, "hour": "20"}, group=str(group))
    done = desk.send("/collections/new", **{**PLAN, "first": "2026-11-26"}, group=str(group))
    page = desk.text("/collections")

    assert 400 == refused.status_code
    assert "Choose an hour from 6 to 18." in refused.text
    assert 'value="Ndaliro store"' in refused.text
    assert 303 == done.status_code
    assert "Ndaliro store, Tuesday and Saturday at 09:00" in page
    assert "Sat 28 Nov" in page
    assert "on Mondays and Fridays from 17:00, the evening before a collection" in desk.text(
        f"/farmers/{farmer}"
    )
    assert "<dd>Tuesday and Saturday, with the group's" in desk.text(f"/farmers/{farmer}")


def test_who_was_never_asked_has_not_kept_silent(desk: Desk, planter: Planter, farmer: int) -> None:
    """Of a day that nobody was texted about the list says so."""
    planter.collection(farmer, "Riverside")
    page = desk.text("/collections")

    assert "nobody was asked" in page
    assert "nobody said" not in page


def test_a_day_is_called_off_moved_and_kept_on_its_page(desk: Desk, planter: Planter, farmer: int) -> None:
    """What cannot be comes back with the page and a sentence."""
    _, collection, _ = planter.collection(farmer, "Riverside")
    day = f"/collections/{collection}/2026-11-28"
    wrong = desk.send(f"{day}/off", moved_to="2026-12-02")
    desk.send(f"{day}/off", moved_to="2026-11-29")
    moved = desk.text("/collections")
    desk.send(f"{day}/on")
    desk.send(f"{day}/off")
    off = desk.text(day)

    assert 400 == wrong.status_code
    assert "Fruit is collected on that day already" in wrong.text
    assert "moved to Sun 29 Nov" in moved
    assert "This day is called off." in off
    assert 404 == desk.get(f"/collections/{collection}/2026-11-27").status_code
    assert 404 == desk.get(f"/collections/{collection}/no-day").status_code


def test_a_clerk_begins_on_the_collections_and_sees_nothing_else(
    desk: Desk, planter: Planter, farmer: int
) -> None:
    """One page in the menu, and no link that leads to a closed door."""
    _, collection, _ = planter.collection(farmer, "Riverside")
    desk.sign_in("Clerk Pili", role=Role.CLERK, districts=frozenset({planter.districts["Ndaliro"]}))
    first = desk.get("/")
    page = desk.text(f"/collections/{collection}/2026-11-25")
    everything = desk.text("/collections") + page
    links = {one for one in re.findall(r'href="(/[^"#?]*)', everything) if not one.startswith("/static")}

    assert (303, "/collections") == (first.status_code, first.location)
    assert 403 == desk.get("/farmers").status_code
    assert "Enter what came" in page
    assert [] == [link for link in sorted(links - {"/"}) if desk.get(link).status_code != 200]


@pytest.mark.parametrize(
    ("form", "sentence"),
    [
        ({}, "Write the kilos that came"),
        ({"accepted": "much"}, "Write kilos in figures"),
        ({"accepted": "-2"}, "Write kilos in figures"),
        ({"accepted": "5", "price": "cheap"}, "Write the money in figures"),
        ({"rejected": "2"}, "Choose why fruit was not accepted"),
        ({"accepted": "900000", "price": "9"}, "more than a lorry carries"),
    ],
)
def test_what_cannot_have_come_is_refused_beside_its_farmer(
    desk: Desk, planter: Planter, farmer: int, form: dict[str, str], sentence: str
) -> None:
    """The form comes back open, with what was typed."""
    _, collection, _ = planter.collection(farmer, "Riverside")
    response = desk.send(f"/collections/{collection}/2026-11-25/{farmer}", **form)

    assert 400 == response.status_code
    assert sentence in response.text
    assert "<details open>" in response.text


def test_what_was_brought_stands_on_the_farmers_page(desk: Desk, planter: Planter, farmer: int) -> None:
    """With what is owed and what is paid; a comma is read as a point, and the last price is taken."""
    _, collection, _ = planter.collection(farmer, "Riverside")
    day = f"/collections/{collection}/2026-11-25/{farmer}"
    desk.send(day, accepted="2,5")
    page = desk.text(f"/farmers/{farmer}")
    desk.send(f"{day}/back")
    desk.send(f"{day}/back")
    after = desk.text(f"/farmers/{farmer}")

    assert "2.50 kg, owed" in page
    assert "TZS 6,250" in page
    assert "12.00 kg, 0.50 not accepted, paid" in page
    assert "owed</td>" not in after


def test_who_brings_nothing_is_not_counted_among_those_who_bring(
    desk: Desk, house: StandInHouse, planter: Planter, farmer: int
) -> None:
    """One says 12 kg, another none: 12 kg come from one farmer; the whole list is asked for at once."""
    other, phone = planter.farmer("Bahati Mwarobi")
    planter.plot(other)
    group, collection, _ = planter.collection(farmer, "Riverside")
    with house.database.work() as work:
        work.people.set_farmer(other, group_id=group)
        for number, (who, grams) in enumerate(((farmer, 9_000), (farmer, 12_000), (other, 0)), 900):
            work.estimates.add(
                id=number,
                farmer_id=who,
                for_day=date(2026, 11, 28),
                grams=grams,
                inbound_id=1,
                phone_id=phone,
                at=house.service_clock.now(),
            )
        work.commit()
    page = desk.text("/collections")
    day = desk.text(f"/collections/{collection}/2026-11-28")

    assert "12.00 kg from 1 farmer; 1 farmer said none" in page
    assert "Expected from 1 farmer, none from 1, not said 0" in day


def test_past_days_tell_what_was_announced_and_what_came(
    desk: Desk, house: StandInHouse, planter: Planter, farmer: int
) -> None:
    """Each figure with its label; a day on which nothing was entered says so, and one to come has no such words."""
    _, collection, _ = planter.collection(farmer, "Riverside")
    _, phone = planter.farmer("Bahati Mwarobi")
    with house.database.work() as work:
        for number, (day, grams) in enumerate(
            ((date(2026, 11, 18), 9_000), (date(2026, 11, 28), 7_000)), 900
        ):
            work.estimates.add(
                id=number,
                farmer_id=farmer,
                for_day=day,
                grams=grams,
                inbound_id=1,
                phone_id=phone,
                at=house.service_clock.now(),
            )
        work.commit()
    shown = {
        day: re.sub(r"<[^>]+>", "", rest)
        for day, rest in re.findall(
            rf'href="/collections/{collection}/([\d-]+)">(.*?)</li>', desk.text("/collections"), re.DOTALL
        )
    }

    assert "announced 9.00 kg from 1 farmer; came 12.50 kg from 1 farmer" in shown["2026-11-18"]
    assert "nobody was asked; nothing entered" in shown["2026-11-14"]
    assert shown["2026-11-28"].endswith(" 7.00 kg from 1 farmer")
