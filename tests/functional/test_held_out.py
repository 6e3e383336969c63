"""Stories of farmers who are held out of advice, so that others can be compared with them."""

from datetime import timedelta

import pytest

from flows.catalogue import read_catalogues
from flows.quiet_texts import QUIETLY
from service.core.alerts import Audience
from service.core.errors import Refused
from service.core.experiments import Arm
from service.core.inviting import NewFarmer, Way
from service.core.phone import read_number
from service.core.rights import Role
from service.use_cases.alerts import deciding
from service.use_cases.alerts.drafting import Order, draft
from service.use_cases.experimenting import end_early, hold_out
from service.use_cases.officers import add_officer
from service.use_cases.registering import register
from tests.village import Phone, Village


def draw_lots(village: Village, percent: int = 20) -> None:
    """Hold so many of a hundred out from today on."""
    with village.database.work() as work:
        hold_out(work, village.tools, percent, on=village.today)


def held_out(village: Village) -> set[object]:
    """Return the names of those who are held out."""
    return {row["name"] for row in village.rows("SELECT name FROM farmer WHERE held_out")}


@pytest.fixture
def quiet(village: Village) -> Phone:
    """The phone of somebody who is held out: the first of those who join whose lot says so."""
    draw_lots(village)
    for number in range(60):
        phone = village.phone()
        phone.joins(name=f"Neema{'abcdefghij'[number % 10]}{'abcdefghij'[number // 10]}", days_ago=200)
        if held_out(village):
            return phone
    raise AssertionError("nobody of sixty was held out")


def test_advice_comes_only_when_it_is_asked_for(village: Village, quiet: Phone) -> None:
    """Three weeks of a plot that bears: no list, no picking day, no nudge; JOBS is answered all the same."""
    before = len(quiet.texts)
    village.pass_days(21)
    unasked = quiet.texts[before:]
    answer = quiet.says("jobs")
    done = quiet.says("done 1")

    assert [] == unasked
    assert answer.startswith("Your jobs: 1 ")
    assert "kilos" in done or "finished" in done
    assert {"gets no advice unasked, so that others can be compared"} == {
        row["why"]
        for row in village.rows(
            "SELECT DISTINCT r.why FROM reminder r JOIN plot p ON p.id = r.plot_id JOIN farmer f ON f.id = p.farmer_id"
            " WHERE f.held_out AND r.state = 'dropped'"
        )
    }


def test_they_are_told_nothing_that_is_not_so(village: Village, quiet: Phone) -> None:
    """From the first text on: it says how to ask, and no text says that one will come by itself."""
    said = [quiet.texts[1], quiet.says("days"), quiet.says("1"), quiet.says("3"), quiet.says("stop alerts")]

    assert "For your jobs text JOBS" in said[0]
    assert "Your week of jobs begins on" in said[1]
    assert "On which day shall your week of jobs begin?" in said[2]
    assert "Noted: your week of jobs begins on 3 Wed" in said[3]
    assert "For your jobs text JOBS" in said[4]
    assert not any("we text you" in words.casefold() or "still come" in words for words in said)


def test_what_keeps_people_from_harm_still_comes(village: Village, quiet: Phone) -> None:
    """An officer's warning, the end of a wait after a spray, first aid."""
    first_aid = quiet.says("I drank poison")
    quiet.says("sprayed 2")
    with village.database.work() as work:
        officer = add_officer(
            work, name="Mlima", code="x" * 26, now=village.clock.now(), role=Role.ADMINISTRATOR
        )
        district = next(one for one in work.people.districts() if one.name == "Ketumali")
        order = Order(
            idem_key="one",
            audience=Audience(districts=frozenset({district.id})),
            template="frost",
            on=village.today + timedelta(days=1),
            figure=-1,
            words={},
            useless_after=village.clock.now() + timedelta(hours=20),
        )
        made = draft(work, village.tools, officer, order, village.clock.now())
        deciding.confirm(work, village.tools, officer, made.id, digest=made.digest, now=village.clock.now())
    village.pass_hours(1)
    warned = quiet.last
    quiet.says("1")
    village.pass_days(3)

    assert first_aid.startswith("POISON?")
    assert "cold likely from" in warned
    assert any("the wait after the spray" in words for words in quiet.texts)


def test_nobody_who_had_advice_loses_it(village: Village) -> None:
    """The lot is drawn for those who join from then on; of them about as many as were meant are held out."""
    before = village.phone()
    before.joins(name="Tatu", days_ago=60)
    draw_lots(village)
    for number in range(80):
        village.phone().joins(name=f"Asha{'abcdefghij'[number % 10]}{'abcdefghij'[number // 10]}")

    assert "Tatu" not in held_out(village)
    # 20 of 100: with 80 farmers between 5 and 28, in all but one of 10,000 lots (binomial).
    assert 5 <= len(held_out(village)) <= 28


def test_the_share_is_set_once(village: Village) -> None:
    """No other share, no end: else the groups would not be what they were."""
    draw_lots(village, 5)
    with village.database.work() as work:
        (kept,) = work.experiments.running(village.today)
        with pytest.raises(Refused, match="5 of a hundred new farmers are held out"):
            hold_out(work, village.tools, 10, on=village.today)
        with pytest.raises(Refused, match="Who is held out stays so"):
            end_early(work, kept.id, on=village.today)

    assert {Arm.FIRST, Arm.SECOND} == {kept.arm_of(farmer_id) for farmer_id in range(200)}


@pytest.mark.parametrize("percent", [0, 21, 50])
def test_a_share_that_is_none_is_refused(village: Village, percent: int) -> None:
    """Advice is withheld from few."""
    with village.database.work() as work, pytest.raises(Refused, match="1 to 20 farmers of a hundred"):
        hold_out(work, village.tools, percent, on=village.today)


@pytest.mark.parametrize("language", ["en", "sw"])
def test_every_quiet_wording_is_another_one(language: str) -> None:
    """None of them is the usual one under another name."""
    entries = read_catalogues()[language]

    assert [] == [quiet for usual, quiet in QUIETLY.items() if entries[usual].text == entries[quiet].text]


def test_who_agreed_on_paper_is_welcomed_without_a_promise(village: Village) -> None:
    """An officer adds them; the welcome says how to ask for jobs."""
    draw_lots(village)
    welcomes = []
    with village.database.work() as work:
        officer = add_officer(
            work, name="Mlima", code="x" * 26, now=village.clock.now(), role=Role.ADMINISTRATOR
        )
        district = work.people.districts()[0]
    for number in range(40):
        phone = village.phone()
        new = NewFarmer(
            number=read_number(phone.number, "TZ"),
            name=f"Zena{'abcdefghij'[number % 10]}{'abcdefghij'[number // 10]}",
            language="en",
            district_id=district.id,
            plants=300,
            planted_on=village.today - timedelta(days=60),
            way=Way.PAPER,
        )
        now = village.clock.now()
        with village.database.work() as work:
            register(work, village.tools, officer, new, paper_allowed=True, now=now, real_now=now)
        village.hear_and_answer()
        welcomes.append(
            (new.name in held_out(village), "text you free" in phone.last or "texts you free" in phone.last)
        )

    assert {(True, False), (False, True)} == set(welcomes)
