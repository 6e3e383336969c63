"""Stories of own containers: told once, counted from then on, and always named with the kilos they stand for."""

import pytest

from tests.village import Phone, Village


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer with 400 plants that bear."""
    phone = village.phone()
    phone.joins(days_ago=200)
    return phone


def weights(village: Village) -> list[tuple[object, object]]:
    """Return grams and state of all weights."""
    return [
        (row["grams"], row["state"]) for row in village.rows("SELECT grams, state FROM harvest ORDER BY id")
    ]


def test_what_a_basket_holds_is_told_once(village: Village, phone: Phone) -> None:
    """The answer says kilos, basket and how many; what is told anew holds from then on."""
    told = phone.says("basket = 3 kg")
    first = phone.says("harvest 2 baskets")
    phone.says("kikapu ni kilo 3.5")
    second = phone.says("vuna vikapu 2 jana")

    assert "your basket holds 3 kg" in told
    assert "6 kg on Wed 25/11 noted: basket of 3 kg, 2 full. Total 6 kg." in first
    assert "7 kg on Tue 24/11 noted: basket of 3.5 kg, 2 full. Total 13 kg." in second
    assert [(6_000, "counted"), (7_000, "counted")] == weights(village)


def test_a_basket_that_nobody_knows_is_asked_for(village: Village, phone: Phone) -> None:
    """The answer completes the picking, and the next one needs no question."""
    asked = phone.says("harvest 2.5 baskets")
    before = weights(village)
    answer = phone.says("3")
    undone = phone.says("undo")
    again = phone.says("harvest 1 basket")

    assert "How many kilos of fruit does your basket hold" in asked
    assert [] == before
    assert "7.5 kg on Wed 25/11 noted: basket of 3 kg, 2.5 full" in answer
    assert "7.5 kg" in undone
    assert "3 kg on Wed 25/11 noted: basket of 3 kg, 1 full" in again
    assert [(7_500, "voided"), (3_000, "counted")] == weights(village)


@pytest.mark.parametrize(
    ("texts", "answered_with", "kept"),
    [
        pytest.param(("harvest 2 baskets", "basket = 3 kg"), "basket of 3 kg, 2 full", 6_000, id="in-words"),
        pytest.param(("harvest 2 baskets", "900"), "between 0.05 and 60 kilos", None, id="no-such-basket"),
        pytest.param(("harvest 2 baskets", "hm"), "between 0.05 and 60 kilos", None, id="no-answer"),
        pytest.param(("harvest 2 baskets", "harvest 5"), "5 kg on Wed 25/11 noted", 5_000, id="weighed"),
        pytest.param(("harvest 8 punnets",), "punnet of 0.25 kg, 8 full", 2_000, id="usual-punnet"),
        pytest.param(("basket = 90 kg",), "between 0.05 and 60 kilos", None, id="no-basket"),
    ],
)
def test_what_is_taken_and_what_is_asked_again(
    village: Village, phone: Phone, texts: tuple[str, ...], answered_with: str, kept: int | None
) -> None:
    """A punnet has a usual weight, which the answer names; nothing else is guessed."""
    answer = [phone.says(words) for words in texts][-1]

    assert answered_with in answer
    assert ([] if kept is None else [(kept, "counted")]) == weights(village)


def test_what_containers_make_is_judged_as_any_weight(village: Village, phone: Phone) -> None:
    """Sixty kilos from 400 plants are asked about, whatever they were carried in."""
    phone.says("basket = 30 kg")

    assert "is unusual. Is it right?" in phone.says("harvest 2 baskets")
    assert [(60_000, "in_question")] == weights(village)


def test_containers_go_with_the_farmer(village: Village, phone: Phone) -> None:
    """Whoever is removed leaves none behind."""
    for words in ("basket = 3 kg", "records", "2", "2"):
        phone.says(words)

    assert [] == village.rows("SELECT * FROM vessel")
