"""Sprays on the pages: what was told by text, what an officer was told by voice, and the weights picked too early."""

from datetime import date, timedelta

import pytest

from service.core.rights import Role
from tests.stand_in_house import TODAY, Planter, StandInHouse
from tests.web_desk import Desk


@pytest.fixture
def plot(planter: Planter) -> int:
    """Asha's plot in Ndaliro, picked for weeks, with a weight of yesterday."""
    farmer, phone = planter.farmer("Asha Mwarobi")
    made = planter.plot(farmer)
    planter.weight(made, phone, ago=1, grams=4_250)
    return made


def owner(house: StandInHouse, plot: int) -> int:
    """Return whose plot it is."""
    with house.database.look() as work:
        return work.plots.the(plot).farmer_id


def kept(house: StandInHouse) -> list[tuple[object, ...]]:
    """Return label's days, first day of picking, and whether it was taken back, of all sprays."""
    with house.database.engine.connect() as connection:
        rows = connection.exec_driver_sql(
            "SELECT label_days, pick_from, voided_at IS NOT NULL FROM spray ORDER BY id"
        )
        return [tuple(row) for row in rows]


def flagged(house: StandInHouse) -> list[bool]:
    """Return whether each weight was picked under a hold."""
    with house.database.engine.connect() as connection:
        return [bool(one) for (one,) in connection.exec_driver_sql("SELECT in_hold FROM harvest ORDER BY id")]


def test_a_spray_told_by_voice_holds_picking_back_as_one_told_by_text(
    desk: Desk, house: StandInHouse, plot: int
) -> None:
    """It stands on the farmer's page and on Today, with the weight that was picked all the same."""
    form = desk.text(f"/plots/{plot}/sprays")
    done = desk.send(f"/plots/{plot}/sprays", sprayed="2026-11-23", days="14")
    page, today = desk.text(f"/farmers/{owner(house, plot)}"), desk.text("/")

    assert "Ask for no product and no dose, and advise none." in form
    assert 303 == done.status_code
    assert [(14, "2026-12-07", 0)] == kept(house)
    assert [True] == flagged(house)
    assert "No picking before Mon 7 Dec, after a spray." in page
    assert "after a spray, too early" in page
    assert 'class="spray"' in page
    assert "No picking yet, after a spray: 1 plot" in today
    assert "4.25 kg picked" in today


def test_coming_jobs_leave_picking_out_until_the_hold_ends(
    desk: Desk, house: StandInHouse, plot: int
) -> None:
    """The page promises no text that will not come."""
    person = f"/farmers/{owner(house, plot)}"
    before = coming(desk.text(person))
    desk.send(f"/plots/{plot}/sprays", sprayed="2026-11-24", days="10")
    after = coming(desk.text(person))

    assert 8 == before.count("Pick, weigh")
    # Thursday, Monday and Thursday fall into the ten days.
    assert 5 == after.count("Pick, weigh")


def coming(page: str) -> str:
    """Return the part of a farmer's page with the jobs to come."""
    return page.partition('<h2 id="coming">')[2].partition("</section>")[0]


def test_days_left_out_are_the_longest_until_the_label_is_read(
    desk: Desk, house: StandInHouse, plot: int
) -> None:
    """Completed later, the label decides; the same form sent twice is one spray."""
    for _ in range(2):
        desk.send(f"/plots/{plot}/sprays", sprayed="2026-11-23", days="")
    unknown, page = kept(house), desk.text(f"/farmers/{owner(house, plot)}")
    spray = only_id(house)
    done = desk.send(f"/plots/{plot}/sprays/{spray}/days", days="3")

    assert [(None, "2026-12-23", 0)] == unknown
    assert "whose label nobody knows yet" in page
    assert 303 == done.status_code
    assert [(3, "2026-11-26", 0)] == kept(house)


def only_id(house: StandInHouse) -> int:
    """Return the id of the one spray there is."""
    with house.database.engine.connect() as connection:
        return int(connection.exec_driver_sql("SELECT id FROM spray").scalar_one())


def test_a_spray_of_another_plot_is_taken_back(desk: Desk, house: StandInHouse, plot: int) -> None:
    """The weight is no more marked; a second click does nothing more."""
    desk.send(f"/plots/{plot}/sprays", sprayed="2026-11-23", days="14")
    spray = only_id(house)
    answers = [desk.send(f"/plots/{plot}/sprays/{spray}/back").status_code for _ in range(2)]
    page = desk.text(f"/plots/{plot}/sprays")

    assert [303, 303] == answers
    assert [(14, "2026-12-07", 1)] == kept(house)
    assert [False] == flagged(house)
    assert "Taken back" in page


def test_the_label_of_a_spray_that_was_taken_back_is_not_kept(
    desk: Desk, house: StandInHouse, plot: int
) -> None:
    """Another officer was quicker: the page that still shows the form says so."""
    desk.send(f"/plots/{plot}/sprays", sprayed="2026-11-23", days="14")
    spray = only_id(house)
    desk.send(f"/plots/{plot}/sprays/{spray}/back")
    answer = desk.send(f"/plots/{plot}/sprays/{spray}/days", days="3")

    assert 400 == answer.status_code
    assert "That spray has been taken back already." in answer.text
    assert [(14, "2026-12-07", 1)] == kept(house)


def test_no_spray_is_entered_for_a_plot_that_was_closed(desk: Desk, house: StandInHouse, plot: int) -> None:
    """Nothing is picked from it that could be held back."""
    house.change_plot(plot, closed_on=TODAY, live=False)
    answer = desk.send(f"/plots/{plot}/sprays", sprayed="2026-11-23", days="14")

    assert 400 == answer.status_code
    assert "This plot is closed" in answer.text
    assert [] == kept(house)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        pytest.param(("2026-11-26", "7"), "within the last 60 days", id="tomorrow"),
        pytest.param(("2026-09-25", "7"), "within the last 60 days", id="too-long-ago"),
        pytest.param(("", "7"), "Write the day of the spray", id="no-day"),
        pytest.param(("2026-11-23", "61"), "lie between 1 and 60", id="too-many-days"),
        pytest.param(("2026-11-23", "0"), "lie between 1 and 60", id="none"),
        pytest.param(("2026-11-23", "a week"), "in figures", id="words"),
    ],
)
def test_what_no_label_says_is_refused_in_a_sentence(
    desk: Desk, house: StandInHouse, plot: int, typed: tuple[str, str], said: str
) -> None:
    """The form comes back with what was typed."""
    sprayed, days = typed
    answer = desk.send(f"/plots/{plot}/sprays", sprayed=sprayed, days=days)

    assert 400 == answer.status_code
    assert said in answer.text
    assert [] == kept(house)


def test_another_plots_spray_is_not_reached_through_this_one(
    door: Desk, house: StandInHouse, planter: Planter, plot: int
) -> None:
    """An officer of one district moves no spray of another, whatever the address says."""
    elsewhere, _ = planter.farmer("Wendo", district="Zaruvi")
    spray = planter.spray(planter.plot(elsewhere), ago=3)
    door.sign_in()
    officer = Desk(house=house, app=door.app)
    officer.sign_in("Officer Kilele", role=Role.OFFICER, districts=frozenset({planter.districts["Ndaliro"]}))
    answers = [
        officer.send(f"/plots/{plot}/sprays/{spray}/days", days="1").status_code,
        officer.send(f"/plots/{plot}/sprays/{spray}/back").status_code,
    ]

    assert [404, 404] == answers
    assert [(7, str(TODAY + timedelta(days=4)), 0)] == kept(house)


def test_the_report_counts_what_was_picked_too_early(desk: Desk, planter: Planter) -> None:
    """It is part of the kilos, and shown apart from them."""
    farmer, phone = planter.farmer("Asha Mwarobi")
    plot = planter.plot(farmer)
    planter.weight(plot, phone, ago=0, grams=4_000)
    planter.weight(plot, phone, ago=1, grams=1_500, in_hold=True)
    sheet = desk.text("/report.csv?length=week&day=" + str(date(2026, 11, 25)))

    assert "kilos picked,5.50" in sheet
    assert '"of these after a spray, too early",1.50' in sheet
