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
    one = desk.send("/collections/paid", farmer=str(group.farmer("Neema")))
    rest = desk.send("/collections/paid")
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
