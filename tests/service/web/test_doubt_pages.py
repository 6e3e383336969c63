"""The page of texts in doubt says what will happen by itself, and what a person has seen to waits for nobody."""

from datetime import timedelta

import pytest

from service.use_cases.resending import MOST_TRIES
from tests.stand_in_house import Planter
from tests.web_desk import Desk

AGAIN = "it is sent again by itself if no receipt comes"
CASES: dict[str, tuple[dict[str, object], bool]] = {
    "may come twice": ({}, True),
    "may not come twice": ({"policy": "at_most_once"}, False),
    "tried as often as may be": ({"tries": MOST_TRIES}, False),
    "its time has passed": ({"ago": timedelta(hours=48)}, False),
}


@pytest.mark.parametrize(("given", "again"), CASES.values(), ids=CASES.keys())
def test_it_is_said_whether_a_text_goes_again_by_itself(
    desk: Desk, planter: Planter, given: dict[str, object], *, again: bool
) -> None:
    """What the page says is what the worker does: it asks the same rule."""
    farmer_id, phone = planter.farmer("Tatu Hamisi")
    values = {"ago": timedelta(hours=1), "kind": "reminder", "farmer_id": farmer_id, **given}
    planter.text_out(phone, "Habari.", state="in_doubt", why="no answer came", **values)  # type: ignore[arg-type]

    page = desk.text("/doubts")

    assert "Habari." in page
    assert again == (AGAIN in page)


def test_today_leads_to_what_can_be_done(desk: Desk, planter: Planter) -> None:
    """A text in doubt needs a person until one has looked; left as it is, it is still counted in doubt."""
    farmer_id, phone = planter.farmer("Tatu Hamisi")
    day, message_id = planter.text_out(
        phone, "Habari.", ago=timedelta(hours=1), farmer_id=farmer_id, state="in_doubt"
    )
    before = desk.text("/")
    desk.send(f"/doubts/{day}/{message_id}", do="leave")
    after = desk.text("/")

    assert '<a href="/doubts">What can be done</a>' in before
    assert "Habari." in before
    assert "Habari." not in after
    assert "Nothing needs a person now" in after
    assert "Left as they are: 1" in desk.text("/doubts")


def test_every_kind_in_doubt_has_its_words(desk: Desk, planter: Planter) -> None:
    """Kinds stand on the page as people say them, and never as they are stored."""
    farmer_id, phone = planter.farmer("Tatu Hamisi")
    for kind in ("urgent_alert", "flowers_stay", "invitation", "nudge"):
        planter.text_out(
            phone, "Habari.", ago=timedelta(hours=1), farmer_id=farmer_id, state="in_doubt", kind=kind
        )

    page = desk.text("/doubts")

    for words in (
        "urgent alert",
        "reminder outside the cap",
        "invitation",
        "question after an unanswered job",
    ):
        assert words in page
    assert "_alert" not in page
    assert "in_doubt" not in page
