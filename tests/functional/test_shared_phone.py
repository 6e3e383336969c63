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
