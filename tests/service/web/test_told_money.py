"""Sales and costs told by voice: entered on a page, shown as such, taken back, told apart from a collection's fruit."""

import re
from datetime import timedelta
from typing import Final

import pytest

from tests.stand_in_house import TODAY, Planter, StandInHouse
from tests.web_desk import Desk

YESTERDAY: Final = (TODAY - timedelta(days=1)).isoformat()
WEEK_AGO: Final = (TODAY - timedelta(days=7)).isoformat()


@pytest.fixture
def farmer(desk: Desk, planter: Planter) -> int:
    """Asha in Ndaliro, whose plants bear."""
    made, _ = planter.farmer("Asha Mwarobi")
    planter.plot(made)
    return made


@pytest.fixture
def at(house: StandInHouse, farmer: int) -> str:
    """Where money of her plot is entered."""
    with house.database.look() as work:
        (plot,) = work.plots.of_farmer(farmer)
    return f"/plots/{plot.id}/money"


def test_a_sale_and_a_cost_are_kept_and_taken_back(desk: Desk, farmer: int, at: str) -> None:
    """12.5 kg for 30,000 and 8,000 for transport: 22,000 are left, and nothing when both are taken back."""
    sold = desk.send(f"{at}/sale", on=YESTERDAY, kilos="12,5", money="30,000", buyer="mama Juma")
    paid = desk.send(f"{at}/cost", on=YESTERDAY, kind="transport", money="8000")
    page = desk.text(f"/farmers/{farmer}")
    backs = re.findall(r'action="(/plots/\d+/money/(?:sale|cost)/\d+/back)"', page)
    for back in [*backs, *backs]:
        desk.send(back)
    after = desk.text(f"/farmers/{farmer}")

    assert (303, 303) == (sold.status_code, paid.status_code)
    assert "12.50 kg to mama Juma, entered by an officer" in page
    assert "transport, entered by an officer" in page
    assert "<dd>22,000</dd>" in page
    assert 2 == len(backs)
    assert "No sale or cost has been told in a year." in after


@pytest.mark.parametrize(
    ("what", "form", "sentence"),
    [
        ("sale", {"kilos": "5", "money": "0"}, "Write the kilos that were sold and the money"),
        ("sale", {"kilos": "much", "money": "100"}, "Write kilos in figures"),
        ("sale", {"kilos": "5", "money": "much"}, "Write the money in figures"),
        ("sale", {"on": "2024-01-01", "kilos": "5", "money": "100"}, "Choose a day of the last 12 months."),
        ("cost", {"kind": "", "money": "100"}, "Choose what the money was for."),
        ("cost", {"kind": "manure", "money": "0"}, "Write what was paid."),
        ("cost", {"on": "some day", "kind": "manure", "money": "100"}, "Write the day of the cost"),
    ],
)
def test_what_cannot_be_is_refused_with_what_was_typed(
    desk: Desk, at: str, what: str, form: dict[str, str], sentence: str
) -> None:
    """The form comes back."""
    response = desk.send(f"{at}/{what}", **{"on": YESTERDAY, **form})

    assert 400 == response.status_code
    assert sentence in response.text


def test_on_a_collections_day_it_is_asked_whether_it_was_other_fruit(
    desk: Desk, planter: Planter, farmer: int, at: str
) -> None:
    """12 kg were accepted a week ago: five more count once somebody says that they were other fruit."""
    planter.collection(farmer, "Riverside")
    form = {"on": WEEK_AGO, "kilos": "5", "money": "12500"}
    refused = desk.send(f"{at}/sale", **form)
    sure = desk.send(f"{at}/sale", besides="1", **form)

    assert "The collection accepted 12 kg on that day" in refused.text
    assert 303 == sure.status_code
    assert "<dd>17.00 kg</dd>" in desk.text(f"/farmers/{farmer}")


def test_a_texted_sale_of_that_day_is_counted_by_a_button(
    desk: Desk, house: StandInHouse, planter: Planter, farmer: int, at: str
) -> None:
    """It stands as not counted until an officer who has asked says so."""
    desk.send(f"{at}/sale", on=WEEK_AGO, kilos="5", money="12500")
    planter.collection(farmer, "Riverside")
    before = desk.text(f"/farmers/{farmer}")
    (button,) = re.findall(r'action="(/plots/\d+/money/sale/\d+/besides)"', before)
    desk.send(button)
    desk.send(button)
    after = desk.text(f"/farmers/{farmer}")

    assert "<dd>12.00 kg</dd>" in before
    assert "<dd>17.00 kg</dd>" in after
    assert "/besides" not in after
