"""What was reckoned for a large district is kept for its day, and the page says since when."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta

import pytest

from service.use_cases.forecasting import Histories, Outlook
from service.web.forecast.kept import KeptOutlooks
from service.web.words import hour
from tests.stand_in_house import NOW, TODAY, ZONE, Planter
from tests.web_desk import Desk


class Reckoner:
    """Reckons an outlook of so many plots, and counts how often it is asked to."""

    def __init__(self, plots: int) -> None:
        self.times = 0
        self._plots = plots

    def __call__(self) -> Outlook:
        """Reckon once more."""
        self.times += 1
        return Outlook(
            forecast=None,
            backtest=None,
            histories=Histories(many=self._plots - self.times, few=0, none=self.times),
        )


def asked(reckon: Reckoner, *days: date) -> list[datetime | None]:
    """Ask one after the other, an hour apart, and return since when each answer is kept."""
    kept = KeptOutlooks(large=10)
    return [
        kept.look((1, "calendar"), day, NOW + timedelta(hours=hour), reckon)[1]
        for hour, day in enumerate(days)
    ]


@pytest.mark.parametrize(
    ("plots", "days", "times", "since"),
    [
        pytest.param(10, (TODAY, TODAY, TODAY), 1, [None, NOW, NOW], id="large"),
        pytest.param(9, (TODAY, TODAY, TODAY), 3, [None, None, None], id="small"),
        pytest.param(10, (TODAY, TODAY + timedelta(days=1)), 2, [None, None], id="another day"),
    ],
)
def test_a_large_district_is_reckoned_once_a_day(
    plots: int, days: tuple[date, ...], times: int, since: list[datetime | None]
) -> None:
    """A small one each time, as nobody waits for it."""
    reckon = Reckoner(plots)

    assert since == asked(reckon, *days)
    assert times == reckon.times


def test_districts_are_kept_apart() -> None:
    """And so is one whose days were changed meanwhile."""
    kept, reckon = KeptOutlooks(large=1), Reckoner(5)
    for whose in ((1, "usual"), (2, "usual"), (1, "own"), (1, "usual")):
        kept.look(whose, TODAY, NOW, reckon)

    assert 3 == reckon.times


@pytest.fixture
def large(desk: Desk) -> Iterator[KeptOutlooks]:
    """What the pages keep where a single plot makes a district large."""
    kept = KeptOutlooks(large=1)
    before = desk.app.extensions.get("kept_outlooks")
    desk.app.extensions["kept_outlooks"] = kept
    yield kept
    desk.app.extensions["kept_outlooks"] = before or KeptOutlooks(large=1000)


def test_the_page_says_since_when_its_figures_stand(
    desk: Desk, planter: Planter, large: KeptOutlooks
) -> None:
    """In the hour of the district; fresh ones need no word."""
    planter.plot(planter.farmer("Asha", district="Zaruvi")[0])
    number = planter.districts["Zaruvi"]
    planter.plot(planter.farmer("Juma", district="Ndaliro")[0])
    home, calendar = planter.districts["Ndaliro"], desk.house.tools.calendar_in("Ndaliro").id
    large.look((home, calendar), TODAY, NOW - timedelta(hours=3), Reckoner(2))

    assert "Reckoned at" not in desk.text(f"/forecast?district={number}")
    assert f"Reckoned at {hour(NOW - timedelta(hours=3), ZONE)}: what was told since" in desk.text(
        f"/forecast?district={home}"
    )
