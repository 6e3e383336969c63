"""A plot that follows a collection shows its days, not the evenings before on which is asked."""

import re
from dataclasses import replace
from datetime import date
from typing import Final

import pytest

from service.use_cases.collecting.following import follow
from service.use_cases.collecting.shown import is_picked_on
from tests.stand_in_house import TODAY, Planter, StandInHouse
from tests.village import ZONE
from tests.web_desk import Desk

# Wednesday 25 November 2026; the planter's collection is on Wednesdays and Saturdays.
SATURDAY: Final = date(2026, 11, 28)
SUNDAY: Final = date(2026, 11, 29)
WEDNESDAY: Final = date(2026, 12, 2)


@pytest.fixture
def farmer(desk: Desk, planter: Planter) -> int:
    """Asha in Ndaliro, whose plants bear."""
    made, _ = planter.farmer("Asha Mwarobi")
    planter.plot(made)
    return made


@pytest.fixture
def collection(planter: Planter, house: StandInHouse, farmer: int) -> int:
    """The collection that her plot follows."""
    _, made, _ = planter.collection(farmer, "Riverside")
    with house.database.work() as work:
        follow(work, ZONE, TODAY)
        work.commit()
    return made


def picking(page: str) -> list[str]:
    """Return the coming days on which picking stands."""
    coming = page.partition("coming")[2]
    days = re.findall(r"<th[^>]*>(.*?)</th>\s*<td[^>]*>(.*?)</td>", coming, flags=re.DOTALL)
    return [re.sub("<[^>]+>", "", day).strip() for day, jobs in days if "Pick, weigh" in jobs]


def sheet(desk: Desk, plot_id: int) -> str:
    """Return the sheet of a plot without the page around it."""
    return desk.text(f"/plots/{plot_id}/calendar").partition("<article")[2]


def test_coming_jobs_stand_on_the_days_of_the_collection(
    desk: Desk, house: StandInHouse, farmer: int, collection: int
) -> None:
    """One that is moved stands where it is moved to."""
    desk.send(f"/collections/{collection}/{SATURDAY}/off", moved_to=str(SUNDAY))
    days = picking(desk.text(f"/farmers/{farmer}"))

    assert ["Sun 29 Nov", "Wed 2 Dec", "Sat 5 Dec"] == days[:3]


def test_the_wall_calendar_has_the_days_of_the_collection(
    desk: Desk, house: StandInHouse, farmer: int, collection: int
) -> None:
    """The sheet of the plot is the one of a plot that is picked on Wednesdays and Saturdays."""
    with house.database.look() as work:
        (plot,) = work.plots.of_farmer(farmer)
    followed, eves = sheet(desk, plot.id), plot.prompt_days
    sheets = []
    for days in (0b0100100, eves):
        with house.database.work() as work:
            work.plots.set(plot.id, collection_id=None, prompt_days=days)
            work.commit()
        sheets.append(sheet(desk, plot.id))

    assert sheets[0] == followed
    assert sheets[1] != followed


@pytest.mark.parametrize(("day", "expected"), [(SATURDAY, True), (WEDNESDAY, False), (SUNDAY, True)])
def test_own_days_hold_again_when_the_collection_is_over(
    house: StandInHouse, collection: int, *, day: date, expected: bool
) -> None:
    """Its last day is Saturday; from then on the farmer's own Sundays count."""
    with house.database.look() as work:
        found = work.collections.get(collection)

    assert found is not None
    assert expected == is_picked_on(day, 0b1000000, replace(found, last_on=SATURDAY))
