"""What is said of a plot's own pace on the farmer's page. All weights are invented."""

from datetime import UTC, date, datetime, timedelta

import pytest

from service.agronomy.traits import UNTOLD
from service.core.collecting import Collection
from service.db.queries.console_values import PlotFacts, Weight
from service.web.farmers.pace import sentences
from tests.stand_in_house import Planter
from tests.web_desk import Desk

# A Wednesday.
TODAY = date(2026, 11, 25)
AGE = 400
NOW = datetime(2026, 11, 25, tzinfo=UTC)
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
            at=NOW,
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


def test_fruit_of_a_collection_counts_where_nothing_was_told(desk: Desk, planter: Planter) -> None:
    """By hand: 12.5 kg came a week ago; a weight told of that day or the evening before stands for it instead."""
    farmer, phone = planter.farmer("Salim")
    plot = planter.plot(farmer, age=AGE, plants=100)
    planter.collection(farmer, "Hill")
    for ago in PICK_DAYS:
        if ago not in {6, 9}:
            planter.weight(plot, phone, ago=ago, grams=300)
    told = 300 * (len(PICK_DAYS) - 2)
    untold = " ".join(desk.text(f"/farmers/{farmer}").split())
    planter.weight(plot, phone, ago=8, grams=9_000)
    after = " ".join(desk.text(f"/farmers/{farmer}").split())

    assert "<dt>of it weighed at collections only</dt><dd>12.50 kg</dd>" in untold
    assert f"<dd>{(told + 12_500) / 1000:.2f} kg</dd>" in untold
    assert "No weight for 1 of 8 picking days" in untold
    assert "weighed at collections only" not in after
    assert f"<dd>{(told + 9_000) / 1000:.2f} kg</dd>" in after


def test_a_collection_sets_the_picking_days_since_it_began() -> None:
    """By hand: told on its Wednesdays and Saturdays for a week and a half, before that on Mondays and Thursdays."""
    begins = TODAY - timedelta(days=11)
    collection = Collection(
        id=1,
        group_id=1,
        group="Hill",
        district_id=1,
        district="Ndaliro",
        zone="Africa/Dar_es_Salaam",
        place="Ndaliro store",
        weekdays=frozenset({2, 5}),
        hour=10,
        first_on=begins,
        last_on=None,
    )
    weights = [
        Weight(id=1, picked_on=TODAY - timedelta(days=ago), grams=300, state="counted", at=NOW)
        for ago in [4, 7, 11, *(ago for ago in PICK_DAYS if ago > 11)]
    ]

    assert 1 == len(sentences(weights, PLOT, FIRST_FRUIT_ON, TODAY, collection))
    assert "No weight for 1 of " in sentences(weights[1:], PLOT, FIRST_FRUIT_ON, TODAY, collection)[1]
