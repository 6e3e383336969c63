"""A weight that a farmer tells an officer by voice: entered, asked about, counted, taken back with a reason."""

import re

import pytest

from tests.stand_in_house import TODAY, Planter, StandInHouse
from tests.web_desk import Desk


@pytest.fixture
def plot(planter: Planter) -> int:
    """Asha's plot of 450 plants, in the midst of picking."""
    farmer, _ = planter.farmer("Asha")
    return planter.plot(farmer)


def total(desk: Desk, page: str) -> str | None:
    """Return the sum on a farmer's page."""
    found = re.search(r"<dt>since [^<]+</dt><dd>([\d.,]+ kg)", desk.text(page))
    return found and found[1]


@pytest.mark.parametrize("typed", ["12.5", "12,5"])
def test_a_told_weight_counts_and_says_who_entered_it(typed: str, desk: Desk, plot: int) -> None:
    """With a point or a comma; it stands in the total, and the record has it."""
    answer = desk.send(f"/plots/{plot}/weights", on="2026-11-24", kilos=typed)
    page = desk.text(answer.location)

    assert "12.50 kg" == total(desk, answer.location)
    assert "entered by Officer Mlima" in page
    assert "no UNDO of the farmer takes it back" in page


def test_a_weight_that_may_be_a_slip_is_asked_about_first(desk: Desk, plot: int) -> None:
    """Nothing is kept until yes; a yes belongs to the weight that was asked about."""
    asked = desk.send(f"/plots/{plot}/weights", on="2026-11-24", kilos="125")
    sure = f"{TODAY.replace(day=24)} 125000"
    other = desk.send(f"/plots/{plot}/weights", on="2026-11-24", kilos="130", sure=sure)
    kept = desk.send(f"/plots/{plot}/weights", on="2026-11-24", kilos="125", sure=sure)

    assert "more than the plants bear" in asked.text
    assert f'name="sure" value="{sure}"' in asked.text
    assert "more than the plants bear" in other.text
    assert "125.00 kg" == total(desk, kept.location)


def test_sent_twice_it_is_asked_about(desk: Desk, plot: int) -> None:
    """The day has a weight already: another one comes on top only after a yes."""
    once, twice = (desk.send(f"/plots/{plot}/weights", on="2026-11-24", kilos="5") for _ in range(2))

    assert "That day has 5.00 kg already" in twice.text
    assert "5.00 kg" == total(desk, once.location)


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"kilos": "a lot"}, "Write the kilos in figures"),
        ({"kilos": "1,250"}, "two digits behind the point at most"),
        ({"kilos": "-3"}, "Write the kilos in figures"),
        ({"kilos": "9999999"}, "more than a lorry carries"),
        ({"on": "soon"}, "Choose the day"),
        ({"on": "2026-11-26"}, "choose another day"),
        ({"on": "2026-10-25"}, "choose another day"),
    ],
    ids=["words", "thousands", "less than nothing", "a lorry", "no day", "tomorrow", "long ago"],
)
def test_what_cannot_be_is_told(given: dict[str, str], sentence: str, desk: Desk, plot: int) -> None:
    """The form comes again with one sentence, as it was typed."""
    answer = desk.send(f"/plots/{plot}/weights", **{"on": "2026-11-24", "kilos": "5", **given})

    assert 400 == answer.status_code
    assert sentence in answer.text
    assert f'value="{ {"kilos": "5", **given}["kilos"] }"' in answer.text


def test_a_plot_that_was_closed_takes_no_weight(desk: Desk, plot: int, house: StandInHouse) -> None:
    """Its plants do not stand any more: the weight belongs to another plot."""
    house.change_plot(plot, closed_on=TODAY, live=False)
    answer = desk.send(f"/plots/{plot}/weights", on="2026-11-24", kilos="5")

    assert 400 == answer.status_code
    assert "This plot is closed" in answer.text


def test_it_is_taken_back_with_a_reason(desk: Desk, plot: int, house: StandInHouse) -> None:
    """It stays in the list and counts no more; the record has both deeds and the reason, and no name."""
    page = desk.send(f"/plots/{plot}/weights", on="2026-11-24", kilos="5").location
    link = re.search(r'href="(/plots/\d+/weights/\d+/back)"', desk.text(page))
    assert link
    why = desk.text(link[1])
    answers = [desk.send(link[1], why="other_day") for _ in range(2)]
    with house.database.look() as work:
        rows = [(row.action, row.detail.get("why")) for row in work.audit.rows()]

    assert "Take back 5.00 kg" in why
    assert [303, 303] == [answer.status_code for answer in answers]
    assert total(desk, page) is None
    assert "taken back" in desk.text(page)
    assert [("weight.told", None), ("weight.taken_back", "other_day")] == rows[-2:]


def test_a_texted_weight_is_not_taken_back_here(desk: Desk, planter: Planter) -> None:
    """That one is the farmer's own to undo."""
    farmer, phone = planter.farmer("Asha")
    plot = planter.plot(farmer)
    texted = planter.weight(plot, phone, ago=1, grams=5000)

    assert "/back" not in desk.text(f"/farmers/{farmer}")
    assert 404 == desk.send(f"/plots/{plot}/weights/{texted}/back", why="typed_wrong").status_code
