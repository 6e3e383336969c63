"""On which days texts come, as a farmer's page says it. All people are invented."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from service.agronomy.calendar import load_calendar
from service.agronomy.due import PlotDays
from service.core.collecting import Collection
from service.use_cases.collecting.following import eve_columns
from service.use_cases.planting import weekdays_of
from service.web.farmers.text_days import text_days
from tests.stand_in_house import TODAY as DESK_TODAY
from tests.stand_in_house import Planter
from tests.web_desk import Desk

CALENDAR = load_calendar()
# A Wednesday.
TODAY = date(2026, 11, 25)
SUNDAY = 6
COLLECTION = Collection(
    id=1,
    group_id=1,
    group="Riverside",
    district_id=1,
    district="Ketumali",
    zone="Africa/Dar_es_Salaam",
    place="Ketumali store",
    weekdays=frozenset({2, 6}),
    hour=10,
    first_on=TODAY,
    last_on=None,
)


def plot(age: int, **more: object) -> PlotDays:
    """Return a plot with its text day on Sundays, picked on Sundays and Wednesdays."""
    values = {
        "planted_on": TODAY - timedelta(days=age),
        "text_day": SUNDAY,
        "picking_text_day": SUNDAY,
        "prompt_days": frozenset({2, SUNDAY}),
        **more,
    }
    return PlotDays(**values)  # type: ignore[arg-type]


def following(age: int) -> PlotDays:
    """Return a plot that follows the collection on Wednesdays and Sundays."""
    columns = eve_columns(COLLECTION)[SUNDAY]
    return replace(
        plot(age),
        picking_text_day=columns["picking_text_day"],
        prompt_days=weekdays_of(columns["prompt_days"]),
    )


@pytest.mark.parametrize(
    ("plots", "collection", "begins"),
    [
        pytest.param([plot(20)], None, "on Sundays from 7:00; from ", id="young"),
        pytest.param([plot(260)], None, "on Wednesdays and Sundays from 7:00; from ", id="picked"),
        pytest.param(
            [following(260)],
            COLLECTION,
            "on Tuesdays and Saturdays from 17:00, the evening before a collection; from ",
            id="collected",
        ),
        pytest.param(
            [following(20)], COLLECTION, "on Sundays from 7:00; from ", id="collected-once-it-bears"
        ),
        pytest.param(
            [following(260), plot(20)],
            COLLECTION,
            "on Tuesdays and Saturdays from 17:00, the evening before a collection and on Sundays from 7:00; from ",
            id="two-plots",
        ),
    ],
)
def test_the_days_are_those_of_the_planner(
    plots: list[PlotDays], collection: Collection | None, begins: str
) -> None:
    """What comes later is said with its day."""
    assert text_days(CALENDAR, plots, 7, collection, TODAY).startswith(begins)


def test_after_the_last_day_no_text_comes() -> None:
    """By hand: the calendar ends 1,095 days after planting; a day later nothing is planned."""
    (end,) = [TODAY - timedelta(days=1_090) + timedelta(days=1_096)]

    assert f"on Wednesdays and Sundays from 7:00; from {end.day} December 2026 on no day" == text_days(
        CALENDAR, [plot(1_090)], 7, None, TODAY
    )


def test_the_page_says_it(desk: Desk, planter: Planter) -> None:
    """Of a farmer whose fruit is collected on Wednesdays and Saturdays."""
    farmer, _ = planter.farmer("Mwajuma")
    plot_id = planter.plot(farmer, age=260)
    _, collection_id, _ = planter.collection(farmer, "Hill")
    desk.house.change_plot(plot_id, collection_id=collection_id, prompt_days=0b0010010, picking_text_day=1)
    turn = DESK_TODAY - timedelta(days=260) + timedelta(days=1_096)

    assert (
        "<dd>on Tuesdays and Fridays from 17:00, the evening before a collection; "
        f"from {turn.day} {turn:%B %Y} on no day</dd>"
    ) in desk.text(f"/farmers/{farmer}")
