"""Correcting a plot on the page: first what would follow, then doing it."""

import re
from datetime import date

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


def hidden(page: str) -> dict[str, str]:
    """Return the hidden fields of the form that does it."""
    form = page.partition('<form class="steps"')[2].partition("</form>")[0]
    return dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)">', form))


def planted_on(house: StandInHouse, plot: int) -> date:
    """Return the planting date that is kept."""
    with house.database.look() as work:
        found = work.plots.get(plot)
    assert found is not None
    return found.planted_on


def test_impact_is_shown_and_then_done(desk: Desk, house: StandInHouse, plot: int) -> None:
    """The form leads to what would follow; nothing changes before the second button, which leads to the plot."""
    form = desk.text(f"/plots/{plot}/edit")
    page = desk.send(f"/plots/{plot}/edit", **{**TOLD, "planted": "2026-10-27"})
    between = planted_on(house, plot)
    fields = hidden(page.text)
    done = desk.send(f"/plots/{plot}/edit", **{key: fields[key] for key in fields if key != "token"})

    assert 'value="2026-04-27"' in form
    assert "27 April 2026" in page.text
    assert "<strong>27 October 2026</strong>" in page.text
    assert "Called off" in page.text
    assert "Next four weeks as they were" in page.text
    assert date(2026, 4, 27) == between
    assert 303 == done.status_code
    assert "27 October 2026" in desk.text(done.location)
    assert date(2026, 10, 27) == planted_on(house, plot)


def test_correction_is_offered_to_be_taken_back(desk: Desk, house: StandInHouse, plot: int) -> None:
    """After a new planting date the one before can be had back, through what would follow from that."""
    before = desk.text(f"/plots/{plot}/edit")
    for day in ("2026-10-27", "2026-04-27"):
        page = desk.send(f"/plots/{plot}/edit", **{**TOLD, "planted": day}).text
        fields = hidden(page)
        desk.send(f"/plots/{plot}/edit", **{key: fields[key] for key in fields if key != "token"})
        if day == "2026-10-27":
            offered = desk.text(f"/plots/{plot}/edit")

    assert "Take the last correction back" not in before
    assert '<input type="hidden" name="planted" value="2026-04-27">' in offered
    assert date(2026, 4, 27) == planted_on(house, plot)


def test_unchanged_form_leads_back(desk: Desk, plot: int) -> None:
    """A form without a change does nothing and says nothing."""
    response = desk.send(f"/plots/{plot}/edit", **TOLD)

    assert 303 == response.status_code
    assert "/farmers/" in response.location


def test_plants_move_no_job(desk: Desk, plot: int) -> None:
    """A change of plants says that no job moves."""
    page = desk.send(f"/plots/{plot}/edit", **{**TOLD, "plants": "1,300"}).text

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
        ({"sure": "yes", "seen": "older", "plants": "300"}, "changed this plot meanwhile"),
    ],
    ids=lambda value: str(value)[:30],
)
def test_slip_is_told(changed: dict[str, str], told: str, desk: Desk, house: StandInHouse, plot: int) -> None:
    """What cannot be is told in a sentence, and nothing changes."""
    response = desk.send(f"/plots/{plot}/edit", **{**TOLD, **changed})

    assert 400 == response.status_code
    assert told in response.text
    assert date(2026, 4, 27) == planted_on(house, plot)


def test_plot_elsewhere_is_not_there(desk: Desk, house: StandInHouse, planter: Planter, plot: int) -> None:
    """An officer of another district finds neither form nor button, and cannot do it by hand."""
    other = Desk(house=house, app=desk.app)
    other.sign_in("Grace", role=Role.OFFICER, districts=frozenset({planter.districts["Zaruvi"]}))
    statuses = [
        other.get(f"/plots/{plot}/edit").status_code,
        other.send(f"/plots/{plot}/edit", **{**TOLD, "plants": "1"}).status_code,
        other.send(f"/plots/{plot}/edit", **{**TOLD, "plants": "1", "sure": "yes"}).status_code,
        other.get("/plots/999/edit").status_code,
    ]

    assert [404, 404, 404, 404] == statuses
