"""A collection from the evening before to the money: phones, the clerk's page and the paid list, on one database."""

import re
from datetime import timedelta
from pathlib import Path

import pytest

from service.core.rights import Role
from service.settings import given_settings
from tests.riverside import SATURDAY, Riverside, until
from tests.stand_in_house import StandInHouse
from tests.village import ZONE, Village
from tests.web_desk import Desk, app_of

FRIDAY = 27


@pytest.fixture
def group(village: Village) -> Riverside:
    """The group Riverside."""
    return Riverside(village)


@pytest.fixture
def desk(village: Village, group: Riverside, tmp_path: Path) -> Desk:
    """A browser before the pages of the village, with a clerk of Ketumali signed in."""
    house = StandInHouse(
        settings=given_settings(demo=True, zone=ZONE, data_dir=tmp_path),
        database=village.database,
        service_clock=village.clock,
        ids=village.tools.ids,  # type: ignore[arg-type]
        network=village.gateway,
    )
    desk = Desk(house=house, app=app_of(house))
    desk.sign_in("Clerk Pili", role=Role.CLERK, districts=group.officer.districts or frozenset())
    return desk


def line_of(page: str, farmer_id: int) -> dict[str, str]:
    """Return the hidden fields with which the list marks a farmer's line as paid."""
    line = page.partition(f'name="farmer" value="{farmer_id}"')[2].partition("</form>")[0]
    return {"farmer": str(farmer_id), **dict(re.findall(r'name="(\w+)" value="([^"]*)"', line))}


def seen_of_all(page: str) -> str:
    """Return what the list brings back when all of it is marked as paid."""
    found = re.search(r'name="seen" value="(\w+)">\n<p>', page)
    return found[1] if found else ""


def test_from_the_question_to_the_money(village: Village, group: Riverside, desk: Desk) -> None:
    """Asked and answered on Friday, weighed and told on Saturday, paid and undone; a spray's fruit is not accepted."""
    neema, zuhura, tatu = (group.joins(name=name) for name in ("Neema", "Zuhura", "Tatu"))
    group.is_collected()
    until(village, SATURDAY.replace(day=FRIDAY), 12)
    tatu.says("sprayed 7")
    village.work_through()
    until(village, SATURDAY.replace(day=FRIDAY), 18)
    neema.says("12")
    zuhura.says("kilo 8 na nusu")
    until(village, SATURDAY, 11)

    day = f"/collections/{group.collection_id}/2026-11-28"
    before = desk.text(day)
    assert "Expected from 2 farmers, not said 1" in before
    assert "<dd>20.50 kg</dd>" in before
    assert 1 == before.count("Under a spray's hold.")
    assert "may not be eaten or sold before Fri 4 Dec" in before

    held = desk.send(f"{day}/{group.farmer('Tatu')}", accepted="5", price="2500")
    assert 400 == held.status_code
    assert "After a spray this fruit may not be sold yet" in held.text
    for name, form in {
        "Neema": {"accepted": "11.5", "rejected": "0.5", "reason": "unripe", "price": "2500"},
        "Zuhura": {"accepted": "8", "price": "2500"},
        "Tatu": {"rejected": "5", "reason": "spray"},
    }.items():
        assert 303 == desk.send(f"{day}/{group.farmer(name)}", **form).status_code
    # A slip is put right: one delivery stands.
    desk.send(f"{day}/{group.farmer('Zuhura')}", accepted="8.5", price="2500")
    village.clock.advance(timedelta(minutes=10))
    village.work_through()

    assert neema.last == (
        "Neema, your fruit of Sat 28/11: 11.5 kg accepted, 0.5 kg not (not ripe). "
        "You are owed TZS 28,750. If wrong tell your officer."
    )
    assert "8.5 kg accepted at TZS 2,500 a kilo, you are owed TZS 21,250" in zuhura.last
    assert "0 kg accepted, 5 kg not (after a spray). You are owed TZS 0" in tatu.last
    after = desk.text(day)
    assert "<dd>20.00 kg</dd>" in after
    assert 403 == desk.get("/collections/paid").status_code

    desk.sign_in("Officer Tulia", role=Role.OFFICER, districts=group.officer.districts or frozenset())
    owed = desk.text("/collections/paid")
    assert "TZS 50,000" in owed
    one = desk.send("/collections/paid", **line_of(owed, group.farmer("Neema")))
    rest = desk.send("/collections/paid", seen=seen_of_all(desk.text("/collections/paid")))
    paid = desk.text("/collections/paid")
    assert (303, 303) == (one.status_code, rest.status_code)
    assert "<dd>TZS 0</dd>" in paid
    assert 2 == paid.count("Undo<span")
    stays = desk.send(f"{day}/{group.farmer('Neema')}", accepted="1", price="2500")
    assert "paid already: take the payment back first" in stays.text

    back = re.findall(r"/collections/paid/(\d+)/back", paid)[0]
    desk.send(f"/collections/paid/{back}/back")
    undone = desk.text("/collections/paid")
    sheet = desk.get("/collections/paid.csv").text.splitlines()
    deeds = [row["action"] for row in village.rows("SELECT action FROM audit ORDER BY id")]

    assert 1 == undone.count("Undo<span")
    assert sheet[0].startswith("farmer,group,kg accepted")
    assert "Neema,Riverside,11.500,0.500,2500,2500,TZS,28750,28750,0" in sheet
    assert 4 == len(sheet)
    assert {"delivery.entered": 4, "payment.made": 2, "payment.taken_back": 1} == {
        deed: deeds.count(deed) for deed in ("delivery.entered", "payment.made", "payment.taken_back")
    }


def test_what_is_owed_stays_on_the_list_until_it_is_paid(
    village: Village, group: Riverside, desk: Desk
) -> None:
    """A debt of November stands in December's list, whatever days are looked at; what is paid leaves with its days."""
    group.joins(name="Neema")
    group.joins(name="Zuhura")
    group.is_collected()
    until(village, SATURDAY, 12)
    group.brings("Neema", 10_000, 2_500)
    until(village, SATURDAY + timedelta(days=24), 12)
    group.brings("Zuhura", 4_000, 2_500)
    desk.sign_in("Officer Tulia", role=Role.OFFICER, districts=group.officer.districts or frozenset())
    usual = desk.text("/collections/paid")
    quiet_days = desk.text("/collections/paid?first=2026-12-02&last=2026-12-03")
    sheet = desk.get("/collections/paid.csv").text
    desk.send("/collections/paid", seen=seen_of_all(usual))
    today = desk.text("/collections/paid")
    quiet_after = desk.text("/collections/paid?first=2026-12-02&last=2026-12-03")

    for page in (usual, quiet_days):
        assert "Owed since 28 November 2026" in page
        assert "Paid TZS 25,000<span" in page
        assert "2 farmers of this list, who are owed TZS 35,000 together, have been paid" in page
        assert "Mark all as paid: TZS 35,000" in page
    assert "Neema,Riverside,10.000,0.000,2500,2500,TZS,25000,0,25000" in sheet
    assert "Mark all as paid" not in today
    assert 2 == today.count("Undo<span")
    assert "nothing else is owed" in quiet_after


def test_only_what_was_shown_is_marked_as_paid(village: Village, group: Riverside, desk: Desk) -> None:
    """Zuhura's fruit comes while the list is open: nothing is marked, and the officer is told to look again."""
    group.joins(name="Neema")
    group.joins(name="Zuhura")
    group.is_collected()
    until(village, SATURDAY, 12)
    group.brings("Neema", 10_000, 2_500)
    desk.sign_in("Officer Tulia", role=Role.OFFICER, districts=group.officer.districts or frozenset())
    shown = desk.text("/collections/paid")
    group.brings("Zuhura", 4_000, 2_500)
    refused = desk.send("/collections/paid", seen=seen_of_all(shown))
    line = desk.send("/collections/paid", **line_of(shown, group.farmer("Neema")))
    again = desk.send("/collections/paid", **line_of(shown, group.farmer("Neema")))
    paid = [row["amount"] for row in village.rows("SELECT amount FROM payment")]

    assert 400 == refused.status_code
    assert "has changed since you opened this list" in refused.text
    assert (303, 303) == (line.status_code, again.status_code)
    assert [25_000] == paid


def test_whose_plants_do_not_bear_yet_is_not_among_those_who_have_not_said(
    village: Village, group: Riverside, desk: Desk
) -> None:
    """Neema was asked and says nothing; Zuhura planted three weeks ago, and nobody asks her."""
    group.joins(name="Neema")
    group.joins(name="Zuhura", days_ago=20)
    group.is_collected()
    until(village, SATURDAY, 9)
    page = desk.text(f"/collections/{group.collection_id}/2026-11-28")

    assert "not said 1</dt>" in page
    assert 1 == page.count("Has not said what will come.")
    assert 1 == page.count("Not asked: no plot of theirs that bears follows this collection.")
