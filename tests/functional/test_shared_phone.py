"""Stories of a phone that speaks for two: what is texted stands under the one for whom something was done."""

import pytest

from tests.village import Village


@pytest.mark.parametrize(
    ("words", "whose"),
    [
        pytest.param("undo", "Asha", id="undo"),
        pytest.param("no it is 6, not 5", "Asha", id="put-right"),
        pytest.param("done 3", "Neema", id="the-open-list"),
    ],
)
def test_a_text_stands_under_whose_it_was(village: Village, words: str, whose: str) -> None:
    """Neema's list is open, yet the weight that is taken back or put right is Asha's."""
    phone = village.phone()
    phone.joins(name="Neema", days_ago=60)
    phone.joins(name="Asha", days_ago=200)
    phone.says("harvest 5 Asha")
    phone.says("jobs")
    listed = phone.says("1")

    phone.says(words)

    assert "Your jobs: 1 Flowers off" in listed
    last = "SELECT f.name FROM inbound i JOIN farmer f ON f.id = i.farmer_id ORDER BY i.id DESC LIMIT 1"
    assert whose == village.row(last)["name"]


@pytest.mark.parametrize(
    ("words", "asked"),
    [
        pytest.param("hm hm", True, id="nobody-named"),
        pytest.param("asha hm", False, id="asha-named"),
    ],
)
def test_a_menu_under_a_list_is_not_the_lists_farmers(
    village: Village,
    words: str,
    asked: bool,  # noqa: FBT001 - a column of the table
) -> None:
    """Whoever was sent the list need not be who types: what is chosen from the menu is asked for whom."""
    phone = village.phone()
    phone.joins(name="Neema", days_ago=60)
    phone.joins(name="Asha", days_ago=200)
    phone.says("jobs")
    phone.says("1")
    menu = phone.says(words)
    chosen = phone.says("1")
    if asked:
        assert "For whom is this?" in chosen
        chosen = phone.says("2")
    kept = phone.says("5")

    assert "Reply 1 weight picked" in menu
    assert "How many kilos did you pick?" in chosen
    assert "Thank you Asha, 5 kg" in kept


def test_who_says_no_says_it_for_one(village: Village) -> None:
    """Two are asked on one phone: the no to the second leaves the first waiting for an answer of their own."""
    phone = village.phone()
    for name in ("Asha", "Baraka"):
        phone.says(f"JOIN {name} 400 1/10/2026 Ketumali")
    phone.says("2")

    assert [("", "erased"), ("Asha", "pending")] == [
        (row["name"], row["state"]) for row in village.rows("SELECT name, state FROM farmer ORDER BY name")
    ]


@pytest.mark.parametrize(
    ("language", "words", "asks"),
    [
        ("en", "picked 1 and half kilo yesterday", "For whom is this?"),
        ("sw", "jana nimevuna kilo 1 na nusu", "Hii ni ya nani?"),
    ],
)
def test_a_weight_without_a_name_is_asked_for_whom(
    village: Village, language: str, words: str, asks: str
) -> None:
    """Neither the one who is asked about a weight nor the one who texted last is taken for it."""
    phone = village.phone()
    for name in ("Asha", "Joyce"):
        phone.joins(name=name, days_ago=200, language=language)
    phone.says("asha picked 90 kg")
    phone.says("joyce 2kg")

    asked = phone.says(words)
    kept = phone.says("joyce")
    settled = phone.says("1")

    assert asks in asked
    assert "Joyce" in kept
    # What Asha was asked about her 90 kg stayed open meanwhile.
    assert "Asha, 90 kg" in settled or "Asha, tumeandika kilo 90" in settled
    weights = "SELECT f.name, h.grams FROM harvest h JOIN plot p ON p.id = h.plot_id JOIN farmer f ON f.id = p.farmer_id"
    assert {("Asha", 90_000), ("Joyce", 2_000), ("Joyce", 1_500)} == {
        (row["name"], row["grams"]) for row in village.rows(weights)
    }


def test_a_weight_is_theirs_whose_plants_alone_bear(village: Village) -> None:
    """Joyce planted three weeks ago: nobody has to ask whose the fruit is."""
    phone = village.phone()
    phone.joins(name="Asha", days_ago=200)
    phone.joins(name="Joyce", days_ago=20)

    assert "Thank you Asha, 3 kg" in phone.says("kg 3")


@pytest.mark.parametrize(
    ("language", "undo", "told"),
    [("en", "undo", "Taken back for Joyce"), ("sw", "futa", "Tumefuta za Joyce")],
)
def test_what_is_taken_back_is_told_with_whose_it_was(
    village: Village, language: str, undo: str, told: str
) -> None:
    """Two share the phone, so "the last weight" is not enough."""
    phone = village.phone()
    for name in ("Asha", "Joyce"):
        phone.joins(name=name, days_ago=200, language=language)
    phone.says("asha 2kg")
    phone.says("joyce 3kg")

    assert told in phone.says(undo)
