"""An officer sees at once that texts wait, and why."""

import pytest

from service.core.rights import Role
from service.use_cases.holding import HoldReason, begin_hold
from tests.stand_in_house import REAL_NOW, StandInHouse
from tests.web_desk import Desk


@pytest.mark.parametrize("reason", HoldReason)
def test_today_says_that_texts_are_held(desk: Desk, house: StandInHouse, reason: HoldReason) -> None:
    """What was found stands on top of the first page, with what ends it, and nothing claims that all runs by itself."""
    before = desk.text("/")
    with house.database.work() as work:
        begin_hold(work, reason, "The clock was put back by 3 days & <more>.", REAL_NOW)
        work.commit()
    page = desk.text("/")

    assert "texts are held" not in before
    assert "texts are held" in page
    assert "The clock was put back by 3 days &amp; &lt;more&gt;." in page
    assert "Answers leave" in page or "Only emergency answers leave" in page
    assert "All of it runs by itself" not in page
    assert ("trussline hold release" in page) == (reason is not HoldReason.DISK)


def test_whoever_cannot_end_a_hold_is_told_whom_to_ask(desk: Desk, house: StandInHouse) -> None:
    """A command is for an administrator only."""
    with house.database.work() as work:
        begin_hold(work, HoldReason.CLOCK, "The clock was put back.", REAL_NOW)
        work.commit()
    desk.sign_in("Officer Tulia", role=Role.OFFICER, districts=frozenset())
    page = desk.text("/")

    assert "Ask your administrator to put the clock right, then release the texts." in page
    assert "trussline hold" not in page
