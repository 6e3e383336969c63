"""What is said of a plot's own pace on the farmer's page. All weights are invented."""

from datetime import UTC, date, datetime, timedelta

import pytest

from service.agronomy.traits import UNTOLD
from service.db.queries.console_values import PlotFacts, Weight
from service.web.farmers.pace import sentences
from tests.stand_in_house import Planter
from tests.web_desk import Desk

# A Wednesday.
TODAY = date(2026, 11, 25)
AGE = 400
PLOT = PlotFacts(
    id=1,
    revision=0,
    planted_on=TODAY - timedelta(days=AGE),
    precision="exact",
    plants=100,
    mulch_kind=None,
    traits=UNTOLD.bits,
    elevation_m=None,
    zone="Africa/Dar_es_Salaam",
    calendar_id="highland-strawberry",
    text_day=0,
    picking_text_day=0,
    # Mondays and Thursdays.
    pick_days=0b0001001,
    prompt_days=0b0001001,
    picking_early=False,
    live=True,
    closed_on=None,
)
FIRST_FRUIT_ON = PLOT.planted_on + timedelta(days=144)
PICK_DAYS = [ago for ago in range(2, 60) if (TODAY - timedelta(days=ago)).weekday() in {0, 3}]


def said(*told: tuple[int, int], state: str = "counted") -> tuple[str, ...]:
    """Return what is said of weights of (days ago, grams)."""
    weights = tuple(
        Weight(
            id=1,
            picked_on=TODAY - timedelta(days=ago),
            grams=grams,
            state=state,
            at=datetime(2026, 11, 25, tzinfo=UTC),
        )
        for ago, grams in told
    )
    return sentences(weights, PLOT, FIRST_FRUIT_ON, TODAY)


def test_four_weeks_are_held_against_what_is_usual() -> None:
    """By hand: eight picks of 3 g a plant; usual are 28 days of 150 / 365 to 450 / 365 g. No verdict: flushes differ."""
    (sentence,) = said(*[(ago, 300) for ago in PICK_DAYS])

    assert sentence.startswith(
        "24 g a plant in the last 4 weeks; usual at this age are 12 to 35 g in 4 weeks on average, "
    )
    assert sentence.endswith("promises nothing.")


def test_picking_days_without_a_weight_are_counted() -> None:
    """Two of eight; a day later is in time, and nothing ripe is a weight."""
    picks = [(ago, 300) for ago in PICK_DAYS[2:]]
    picks[0] = (picks[0][0] - 1, 0)
    _, sentence = said(*picks)

    assert "No weight for 2 of 8 picking days since 29 October 2026: not picked, or not told." == sentence


@pytest.mark.parametrize(
    ("age", "expected"),
    [
        pytest.param(23, "ask for the planting date again", id="no flower ripens in 23 days"),
        pytest.param(100, "came 44 days sooner than expected: flowers were left on", id="flowers left on"),
    ],
)
def test_an_early_first_weight_is_noticed(age: int, expected: str) -> None:
    """24 days are the fewest from flower to fruit (Chandler 2004); 144 days after planting fruit is expected."""
    found = said(*[(ago, 300) for ago in PICK_DAYS], (AGE - age, 300))

    assert expected in found[-1]


@pytest.mark.parametrize(
    "told",
    [
        pytest.param([], id="none"),
        pytest.param([(5, 0)], id="nothing ripe yet"),
        pytest.param([(2, 300), (6, 300)], id="a week of picks"),
    ],
)
def test_nobody_is_judged_by_a_few_weights(told: list[tuple[int, int]]) -> None:
    """There is nothing to say until there are four weeks."""
    assert () == said(*told)


def test_weights_that_do_not_count_say_nothing() -> None:
    """Those in question and those taken back are left out."""
    assert () == said(*[(ago, 300) for ago in PICK_DAYS], state="in_question")


def test_it_stands_on_the_farmers_page(desk: Desk, planter: Planter) -> None:
    """Below the totals of the harvest."""
    farmer, phone = planter.farmer("Asha")
    plot = planter.plot(farmer, age=AGE, plants=100)
    for ago in PICK_DAYS:
        planter.weight(plot, phone, ago=ago, grams=300)

    assert "24 g a plant in the last 4 weeks" in desk.text(f"/farmers/{farmer}")
