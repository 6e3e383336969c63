"""Whether a weight can be right."""

from dataclasses import replace
from datetime import timedelta

import pytest

from flows.facts import Weights
from flows.plausible import YOUNGEST, Doubt, Verdict, judge
from tests.talking import NEEMA, TODAY, Talk, facts, said


@pytest.mark.parametrize(
    ("grams", "plants", "doubt", "instead"),
    [
        pytest.param(0, 400, Doubt.ZERO, (), id="zero"),
        pytest.param(24_000, 400, Doubt.NONE, (), id="60-g-a-plant"),
        pytest.param(24_001, 400, Doubt.UNUSUAL, (), id="above-60-g"),
        pytest.param(60_000, 400, Doubt.UNUSUAL, (), id="150-g-a-plant"),
        pytest.param(60_001, 400, Doubt.SLIP, (6_000, 600), id="above-150-g"),
        pytest.param(300_000, 400, Doubt.SLIP, (3_000,), id="only-the-hundredth-fits"),
        pytest.param(2_400_100, 400, Doubt.UNUSUAL, (), id="neither-fits"),
        pytest.param(301, 2, Doubt.SLIP, (30,), id="the-hundredth-is-less-than-a-berry"),
        pytest.param(99, 2_000, Doubt.UNIT, (99_000,), id="a-handful-that-may-be-kilos"),
        pytest.param(100, 2_000, Doubt.NONE, (), id="a-hundred-grams-are-grams"),
        pytest.param(99, 1_000, Doubt.NONE, (), id="a-handful-that-cannot-be-kilos"),
        pytest.param(9, 10, Doubt.UNUSUAL, (), id="less-than-a-berry"),
        pytest.param(10, 10, Doubt.NONE, (), id="one-berry"),
    ],
)
def test_a_weight_is_judged_by_the_plants(
    grams: int, plants: int, doubt: Doubt, instead: tuple[int, ...]
) -> None:
    """60 g a plant and pick are believed; 150 g offer a tenth and a hundredth that fit."""
    assert Verdict(doubt=doubt, instead=instead) == judge(grams, plants, Weights(), age=200)


@pytest.mark.parametrize(
    ("grams", "doubt"),
    [(999, Doubt.UNUSUAL), (1_000, Doubt.NONE), (16_000, Doubt.NONE), (16_001, Doubt.UNUSUAL)],
    ids=["below-a-fourth", "a-fourth", "four-times", "above-four-times"],
)
def test_five_own_weights_join_in(grams: int, doubt: Doubt) -> None:
    """The farmer's own median of 4 kg is believed from its fourth to four times it."""
    assert doubt is judge(grams, 400, Weights(median=4_000), age=200).doubt


def test_the_plants_still_count_beside_the_median() -> None:
    """Four times the own median is no excuse for more than the plants can bear."""
    assert Doubt.UNUSUAL is judge(25_000, 400, Weights(median=20_000), age=200).doubt


@pytest.mark.parametrize(
    ("age", "doubt"),
    [(-1, Doubt.UNUSUAL), (44, Doubt.UNUSUAL), (45, Doubt.NONE)],
    ids=["ahead", "young", "old-enough"],
)
def test_fruit_of_plants_too_young_to_bear_is_asked_about(age: int, doubt: Doubt) -> None:
    """It is most likely of other plants."""
    assert doubt is judge(5_000, 400, Weights(), age=age).doubt


@pytest.mark.parametrize(
    ("words", "text_id"),
    [
        pytest.param("vuna 1.250 leo", "harvest_noted_first", id="old-enough-today"),
        pytest.param("vuna 1.250 jana", "which_kg", id="too-young-the-day-before"),
    ],
)
def test_both_readings_of_a_weight_are_judged_by_the_day_it_was_picked(words: str, text_id: str) -> None:
    """Whether plants can bear is asked for the picking day, by whoever judges: no reading is preferred by another."""
    young = replace(NEEMA, planted_on=TODAY - timedelta(days=YOUNGEST), weights=Weights())

    assert [text_id] == said(Talk(facts(young)).says(words))
