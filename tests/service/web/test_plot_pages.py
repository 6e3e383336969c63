"""Correcting a plot on the page: first what would follow, then doing it."""

import re
from datetime import date
from urllib.parse import urlencode

import pytest

from service.core.rights import Role
from tests.stand_in_house import Planter, StandInHouse
from tests.web_desk import Desk

TOLD = {"planted": "2026-04-27", "precision": "exact", "plants": "450", "mulch": "straw"}


@pytest.fixture
def plot(planter: Planter) -> int:
    """A plot planted on 27 April 2026, day 212 today, in Ndaliro, with three weeks of reminders."""
    farmer, _ = planter.farmer("Asha")
    made = planter.plot(farmer, age=212)
    planter.reminders(farmer, made)
    return made


def follows(plot: int, **changed: str) -> str:
    """Return the address of what would follow from a correction."""
    return f"/plots/{plot}/edit/follows?{urlencode({**TOLD, **changed})}"


def hidden(page: str) -> dict[str, str]:
    """Return the hidden fields of the form that does it."""
    form = page.partition('<form class="steps"')[2].partition("</form>")[0]
    fields = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', form))
    return {name: value for name, value in fields.items() if name != "token"}


def planted_on(house: StandInHouse, plot: int) -> date:
    """Return the planting date that is kept."""
    with house.database.look() as work:
        found = work.plots.get(plot)
    assert found is not None
    return found.planted_on


def test_impact_is_shown_and_then_done(desk: Desk, house: StandInHouse, plot: int) -> None:
    """The form leads to what would follow; nothing changes before the second button, which leads to the plot."""
    form = desk.text(f"/plots/{plot}/edit")
    page = desk.get(follows(plot, planted="2026-10-27"))
    between = planted_on(house, plot)
    done = desk.send(f"/plots/{plot}/edit", **hidden(page.text))

    assert 'value="2026-04-27"' in form
    assert "27 April 2026" in page.text
    assert "<strong>27 October 2026</strong>" in page.text
    assert "Called off" in page.text
    assert "Next four weeks as they were" in page.text
    assert date(2026, 4, 27) == between
    assert 303 == done.status_code
    assert "Kept: 450 plants, planted 27 October 2026, mulch dry grass or straw." in desk.text(done.location)
    assert date(2026, 10, 27) == planted_on(house, plot)


def test_a_second_click_and_going_back_are_no_error(desk: Desk, house: StandInHouse, plot: int) -> None:
    """The same form sent twice leads to the same page and is kept once; "back" says that it is so already."""
    path = follows(plot, planted="2026-10-27")
    fields = hidden(desk.text(path))
    first, second = (desk.send(f"/plots/{plot}/edit", **fields) for _ in range(2))
    back = desk.text(path)
    with house.database.engine.connect() as connection:
        (changes,) = connection.exec_driver_sql("SELECT count(*) FROM plot_change").one()

    assert (303, 303) == (first.status_code, second.status_code)
    assert first.location == second.location
    assert 1 == changes
    assert "The plot is like that already: nothing would change." in back
    assert 'value="2026-10-27"' in back


def test_correction_is_offered_to_be_taken_back(desk: Desk, house: StandInHouse, plot: int) -> None:
    """After a new planting date the one before can be had back, through what would follow from that."""
    before = desk.text(f"/plots/{plot}/edit")
    for day in ("2026-10-27", "2026-04-27"):
        desk.send(f"/plots/{plot}/edit", **hidden(desk.text(follows(plot, planted=day))))
        if day == "2026-10-27":
            offered = desk.text(f"/plots/{plot}/edit")

    assert "Take the last correction back" not in before
    assert '<input type="hidden" name="planted" value="2026-04-27">' in offered
    assert date(2026, 4, 27) == planted_on(house, plot)


def test_unchanged_form_says_so(desk: Desk, plot: int) -> None:
    """A form without a change does nothing and says so."""
    assert "nothing would change" in desk.text(follows(plot))


def test_mother_rows_are_told_and_kept(desk: Desk, house: StandInHouse, plot: int) -> None:
    """Runners fall away for them, which is shown first; then the form holds what was chosen."""
    page = desk.text(follows(plot, mother_rows="yes", bed_width_cm="100", spacing_cm="30"))
    done = desk.send(f"/plots/{plot}/edit", **hidden(page))
    form = desk.text(f"/plots/{plot}/edit")
    as_they_were, _, as_they_would_be = page.partition("And as they would be")

    assert (
        "Rows kept for their runners</td><td>not known</td><td><strong>yes, for new plants</strong>" in page
    )
    assert "Runners" in as_they_were.partition("Next four weeks")[2]
    assert "Runners" not in as_they_would_be
    assert 303 == done.status_code
    assert '<option value="yes" selected>yes, for new plants</option>' in form
    assert 'name="bed_width_cm" value="100"' in form
    assert "Rows kept for their runners: before, not known; now, yes, for new plants." in form


def test_plants_move_no_job(desk: Desk, plot: int) -> None:
    """A change of plants says that no job moves."""
    page = desk.text(follows(plot, plants="1,300"))

    assert "<td>450</td><td><strong>1,300</strong></td>" in page
    assert "No job moves." in page


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"planted": "soon"}, "Write the planting date"),
        ({"planted": "2019-01-01"}, "within the last three years"),
        ({"plants": "many"}, "Write how many plants"),
        ({"plants": "0"}, "counted from 1"),
        ({"mulch": "gravel"}, "kinds of mulch"),
        ({"precision": "never"}, "how well"),
        ({"stock": "seed"}, "kinds of young plants"),
        ({"bed_width_cm": "1.2"}, "Write how wide a bed is"),
        ({"spacing_cm": "900"}, "must lie between 5 and 500 cm"),
        ({"elevation_m": "9" * 30}, "Write how many metres"),
    ],
    ids=lambda value: str(value)[:30],
)
def test_slip_is_told(changed: dict[str, str], told: str, desk: Desk, house: StandInHouse, plot: int) -> None:
    """What cannot be is told in a sentence, before it is done and when it is sent by hand; nothing changes."""
    asked = desk.get(follows(plot, **changed))
    sent = desk.send(f"/plots/{plot}/edit", **{**TOLD, **changed})

    assert [400, 400] == [asked.status_code, sent.status_code]
    assert told in asked.text
    assert date(2026, 4, 27) == planted_on(house, plot)


def test_somebody_elses_correction_is_not_undone(desk: Desk, house: StandInHouse, plot: int) -> None:
    """What was shown before somebody else changed the plot is not done any more."""
    response = desk.send(f"/plots/{plot}/edit", **{**TOLD, "plants": "300"}, seen="older")

    assert 400 == response.status_code
    assert "changed this plot meanwhile" in response.text
    assert date(2026, 4, 27) == planted_on(house, plot)


def test_plot_elsewhere_is_not_there(desk: Desk, house: StandInHouse, planter: Planter, plot: int) -> None:
    """An officer of another district finds neither form nor button, and cannot do it by hand."""
    other = Desk(house=house, app=desk.app)
    other.sign_in("Grace", role=Role.OFFICER, districts=frozenset({planter.districts["Zaruvi"]}))
    statuses = [
        other.get(f"/plots/{plot}/edit").status_code,
        other.get(follows(plot, plants="1")).status_code,
        other.send(f"/plots/{plot}/edit", **{**TOLD, "plants": "1"}).status_code,
        other.get("/plots/999/edit").status_code,
    ]

    assert [404, 404, 404, 404] == statuses
