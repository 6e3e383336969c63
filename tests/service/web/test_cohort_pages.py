"""The page Is it working: cohorts, who is held out, and what is said where too little is known."""

from datetime import date, timedelta

import pytest

from service.core.rights import Role
from service.db.tables import experiments, people, plots
from tests.stand_in_house import NOW, TODAY, Planter, StandInHouse
from tests.web_desk import Desk


def texted_job(
    house: StandInHouse, plot_id: int, *, ago: int, done_after: int | None = None, task: str = "weeds"
) -> None:
    """A job that was texted so many days ago, and done so many days later."""
    day = TODAY - timedelta(days=ago)
    house.put(
        plots.reminder,
        due_on=day,
        task=task,
        plot_id=plot_id,
        revision=0,
        ordinal=0,
        state="texted" if done_after is None else "answered",
        message_day=day,
        message_id=1,
        answer=None if done_after is None else "done",
        answered_at=None if done_after is None else NOW - timedelta(days=ago - done_after),
    )


@pytest.fixture
def filled(house: StandInHouse, planter: Planter) -> Planter:
    """Two plots of one month, of which one told weights; one of another month in another district."""
    asha, phone = planter.farmer("Asha Mwarobi")
    first = planter.plot(asha, age=212, plants=500)
    planter.weight(first, phone, ago=3, grams=20_000)
    texted_job(house, first, ago=9, done_after=1)
    texted_job(house, first, ago=12, done_after=8, task="runners")
    texted_job(house, first, ago=5)
    bahati, other = planter.farmer("Bahati")
    planter.plot(bahati, age=213, plants=300)
    planter.text_out(other, "Wiki hii.", ago=timedelta(days=3), farmer_id=bahati, kind="reminder")
    house.put(
        people.consent,
        phone_id=other,
        farmer_id=bahati,
        purpose="texts",
        answer="stopped",
        way="sms",
        at=NOW - timedelta(days=2),
        on_day=TODAY - timedelta(days=2),
    )
    # Whoever wants no warnings has not stopped.
    house.put(
        people.consent,
        phone_id=phone,
        farmer_id=asha,
        purpose="alerts",
        answer="stopped",
        way="sms",
        at=NOW - timedelta(days=2),
        on_day=TODAY - timedelta(days=2),
    )
    wendo, third = planter.farmer("Wendo", district="Zaruvi")
    planter.weight(planter.plot(wendo, age=400), third, ago=1, grams=3_000)
    return planter


def test_jobs_weights_and_stops_stand_by_cohort(desk: Desk, filled: Planter) -> None:
    """Asked, done, done within a week; a weight told by one of two; kilos a plant with their plots; who stopped."""
    page = " ".join(desk.text("/cohorts").split())

    assert '<th scope="row">Apr 2026</th><td class="r">3</td><td class="r">2</td><td class="r">1</td>' in page
    assert (
        '<td class="r">50 % (1 of 2)</td><td class="r">0.040</td><td class="r">1</td><td class="r">0.025</td>'
        in page
    )
    assert '<td class="r">1</td><td class="r">1</td><td class="r">1000.0</td>' in page
    assert '<th scope="row">Oct 2025</th>' in page


def test_an_officer_sees_their_own_districts(desk: Desk, filled: Planter) -> None:
    """By district, an officer's page names no other one."""
    every = desk.text("/cohorts?by=district&days=91")
    desk.sign_in("Officer Tulia", role=Role.OFFICER, districts=frozenset({filled.districts["Zaruvi"]}))
    own = desk.text("/cohorts?by=district&days=91")

    assert {"Ndaliro", "Zaruvi"} == {name for name in filled.districts if f">{name}</th>" in every}
    assert {"Zaruvi"} == {name for name in filled.districts if f">{name}</th>" in own}


@pytest.mark.parametrize("query", ["", "?by=joined", "?by=nothing&days=5", "?days=364"])
def test_an_empty_programme_has_a_page(desk: Desk, query: str) -> None:
    """Nobody to compare: it says so, and how to begin."""
    page = desk.text(f"/cohorts{query}")

    assert "Nobody was texted in these days." in page
    assert "Set a share once with <code>trussline experiment hold-out</code>." in page
    assert "Try one with <code>trussline experiment try</code>." in page


def test_a_command_is_for_an_administrator(desk: Desk) -> None:
    """Anybody else is told whom to ask."""
    desk.sign_in("Officer Tulia", role=Role.OFFICER, districts=frozenset())
    page = desk.text("/cohorts")

    assert "Ask your administrator to set a share once." in page
    assert "trussline" not in page.partition("<main")[2]


def test_an_officer_sees_why_no_jobs_are_texted(desk: Desk, planter: Planter) -> None:
    """On the page of whom the lot has held out, and on nobody else's."""
    held_out, _ = planter.farmer("Asha Mwarobi", held_out=True)
    texted, _ = planter.farmer("Bahati")

    assert "Drawn by lot to get no advice unasked" in desk.text(f"/farmers/{held_out}")
    assert "Drawn by lot" not in desk.text(f"/farmers/{texted}")


def test_who_is_held_out_is_compared_and_stands_in_no_cohort(
    desk: Desk, house: StandInHouse, planter: Planter
) -> None:
    """Those who joined since lots are drawn, whether they told a weight, and how sure that is."""
    house.put(
        experiments.experiment,
        topic="no_advice",
        percent=10,
        salt="salt",
        began_on=TODAY - timedelta(days=300),
        ends_on=None,
    )
    for number in range(8):
        farmer, phone = planter.farmer(f"Farmer {number}", held_out=number % 2 == 0)
        plot = planter.plot(farmer)
        if number % 2:
            planter.weight(plot, phone, ago=4, grams=9_000)
    page = desk.text("/cohorts")

    assert "told a weight: texted 100 % (4 of 4), held out of advice 0 % (0 of 4)." in page
    assert "Among those who are texted there are more: +100 points" in page
    assert "100 % (4 of 4)</td>" in page
    assert "50 % (4 of 8)" not in page
    assert date(2026, 1, 29).isoformat() in page


def test_the_kilos_of_both_groups_are_compared_farmer_by_farmer(
    desk: Desk, house: StandInHouse, planter: Planter
) -> None:
    """Weights of one farmer are added up first; of a plot of 450 plants 9 kg are 0.020 kg a plant."""
    house.put(
        experiments.experiment,
        topic="no_advice",
        percent=10,
        salt="salt",
        began_on=TODAY - timedelta(days=300),
        ends_on=None,
    )
    for number, grams in enumerate((4_500, 9_000, 5_400, 9_900, 4_500, 9_000)):
        farmer, phone = planter.farmer(f"Farmer {number}", held_out=number % 2 == 0)
        plot = planter.plot(farmer)
        for ago in (4, 7):
            planter.weight(plot, phone, ago=ago, grams=grams // 2)
    page = desk.text("/cohorts")

    assert (
        "Kilos a plant, each farmer who told weights counting once: those who are texted tell more: +0.010 kg, "
        "and anything from +0.007 to +0.013 may be so."
    ) in page
