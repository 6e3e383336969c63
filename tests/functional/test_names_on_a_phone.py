"""Two farmers share one phone, and say in the same breath whom a text is about."""

import pytest

from tests.village import Phone, Village


@pytest.fixture
def shared(village: Village) -> Phone:
    """The phone of Neema and Asha."""
    phone = village.phone()
    phone.joins(name="Neema", days_ago=200)
    phone.joins(name="Asha", days_ago=200)
    return phone


def kept(village: Village) -> list[tuple[object, object]]:
    """Return the weights kept, with whose they are."""
    rows = village.rows(
        "SELECT name, grams FROM harvest JOIN plot ON plot.id = plot_id JOIN farmer ON farmer.id = farmer_id"
        " ORDER BY harvest.id"
    )
    return [(row["name"], row["grams"]) for row in rows]


@pytest.mark.parametrize(
    "words", ["neema harvest 3", "harvest 3 neema", "neema 3kg", "three kilos for neema"]
)
def test_a_named_weight_is_the_named_ones(village: Village, shared: Phone, words: str) -> None:
    """Nobody is asked for whom what has a name on it."""
    answer = shared.says(words)

    assert "Thank you Neema, 3 kg" in answer
    assert [("Neema", 3000)] == kept(village)


def test_another_weight_is_no_answer_to_for_whom(village: Village, shared: Phone) -> None:
    """The weight that waits for a name keeps waiting: it never becomes that of whoever is named next."""
    shared.says("harvest 1.5")

    answer = shared.says("neema picked 3 kg")

    assert "Thank you Neema, 3 kg" in answer
    assert "1 Neema 2 Asha" in answer
    assert [("Neema", 3000)] == kept(village)
    assert "Thank you Asha, 1.5 kg" in shared.says("2")
    assert [("Neema", 3000), ("Asha", 1500)] == kept(village)


def test_a_weight_that_waits_is_not_lost_under_another_question(village: Village, shared: Phone) -> None:
    """Where the named weight has to be asked about itself, an officer sees the one that was texted before."""
    shared.says("harvest 1.5")

    shared.says("neema picked 90 kg")

    assert "unusual" == shared.talk.state
    assert [{"text": "harvest 1.5"}] == village.rows("SELECT text FROM question")


def test_a_question_that_names_somebody_is_theirs(village: Village, shared: Phone) -> None:
    """The officer finds it on the right farmer's page."""
    shared.says("why are the leaves of neema red?")

    row = village.row("SELECT name FROM question JOIN farmer ON farmer.id = question.farmer_id")
    assert "Neema" == row["name"]


def test_a_name_beside_stop_is_asked_about(village: Village, shared: Phone) -> None:
    """A phone is stopped as a whole: who names one of two is told so before it happens."""
    answer = shared.says("stop neema")

    assert "Shall our texts to this phone end" in answer
    assert [] == village.rows("SELECT * FROM stop_list")
