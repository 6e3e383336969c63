"""Our question offers names with numbers: the number comes back as people quote it, or the name."""

import pytest

from tests.village import Village

QUOTED = ['"2"', "2.", "(2)", "no 2", "No. 2", "no.2", "number 2", "2 asha", "asha", '"Asha"', "Asha."]


@pytest.mark.parametrize(
    ("language", "harvest", "answers"),
    [("en", "harvest 1.5", QUOTED), ("sw", "vuna 1.5", [*QUOTED, "namba 2", "jibu 2", "ni asha"])],
    ids=["en", "sw"],
)
def test_a_quoted_answer_names_the_farmer(
    village: Village, language: str, harvest: str, answers: list[str]
) -> None:
    """Whatever stands around it, the weight is Asha's."""
    for words in answers:
        phone = village.phone()
        phone.joins(name="Neema", days_ago=200, language=language)
        phone.joins(name="Asha", days_ago=200, language=language)
        asked = phone.says(harvest)
        answer = phone.says(words)

        assert "1 Neema 2 Asha" in asked
        assert "Asha, " in answer, words
    counted = village.rows(
        "SELECT name, count(*) AS n FROM harvest JOIN plot ON plot.id = plot_id JOIN farmer ON farmer.id = farmer_id"
        " GROUP BY name"
    )
    assert [("Asha", len(answers))] == [(row["name"], row["n"]) for row in counted]


@pytest.mark.parametrize("words", ["no 3", "jibu 9", "juma"])
def test_what_names_nobody_is_asked_again(village: Village, words: str) -> None:
    """A number that is not offered, and a name that is none of theirs, are no farmer."""
    phone = village.phone()
    phone.joins(name="Neema", days_ago=200)
    phone.joins(name="Asha", days_ago=200)
    phone.says("harvest 1.5")

    assert "1 Neema 2 Asha" in phone.says(words)
    assert [] == village.rows("SELECT id FROM harvest")
