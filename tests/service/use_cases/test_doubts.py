"""What an officer decides about a text in doubt when a receipt is quicker."""

from collections.abc import Callable
from datetime import datetime

import pytest
from sqlalchemy import Connection

from service.core.doubt_ports import NOT_AGAIN, DoubtLine
from service.core.gateway import Stage
from service.core.kinds import MessageState
from service.core.rights import Role
from service.core.staff import Officer
from service.db.queries.doubts import Doubts
from service.db.work import Work
from service.use_cases import doubts, sending
from service.use_cases.receipts import take_receipt
from tests.postroom import Key, Postroom
from tests.village import Village

Decision = Callable[[Work, Officer, Key, datetime], None]
BOSS = Officer(id=1, name="Asha Mlima", role=Role.ADMINISTRATOR, districts=None)


class OvertakenDoubts(Doubts):
    """Texts in doubt, one of which is settled by a receipt in the moment after it was looked up."""

    def __init__(self, connection: Connection, receipt: Callable[[], None]) -> None:
        """Ask on `connection`, and take in a receipt after that."""
        super().__init__(connection)
        self._receipt = receipt

    def find(self, key: Key) -> DoubtLine | None:
        """Return the text as it was before the receipt."""
        found = super().find(key)
        self._receipt()
        return found


@pytest.mark.parametrize("decision", [doubts.send_again, doubts.leave])
def test_a_receipt_is_quicker_than_the_officer(village: Village, decision: Decision) -> None:
    """A text that turns out delivered between the look and the deed is neither sent again nor put back in doubt."""
    postroom = Postroom(village)
    key = postroom.put()
    (claimed,) = postroom.claim()
    postroom.sender.recover()
    receipt = postroom.progress(Stage.DELIVERED, gateway_ref="network-1", our_ref=claimed.our_ref)
    before = postroom.state(key)

    with village.database.work() as work:
        work.doubts = OvertakenDoubts(
            work._connection, lambda: take_receipt(work, postroom.gateway.name, receipt, postroom.now)
        )
        with pytest.raises(doubts.NoDoubt, match="not in doubt any more"):
            decision(work, BOSS, key, postroom.now)
        work.commit()

    assert (MessageState.IN_DOUBT, MessageState.DELIVERED) == (before, postroom.state(key))
    assert [] == village.rows("SELECT action FROM audit")


def test_the_text_that_is_chosen_goes_again_and_no_other(village: Village) -> None:
    """They are listed by how long they have been in doubt, not by their number; the others stay as they are."""
    postroom = Postroom(village)
    keys = [postroom.put() for _ in range(3)]
    for claimed in reversed(postroom.claim()):
        with village.database.work() as work:
            sending.answer_lost(work, claimed, postroom.now)
        postroom.wait(seconds=1)
    with village.database.work() as work:
        listed = [line.key for line in work.doubts.lines(None, looked_at=False, limit=9)]
        doubts.send_again(work, BOSS, keys[1], postroom.now)
        left = [line.key for line in work.doubts.lines(None, looked_at=False, limit=9)]

    assert (keys[::-1], [keys[2], keys[0]]) == (listed, left)
    assert ["in_doubt", "due", "in_doubt"] == [postroom.state(key) for key in keys]


def test_a_stop_ends_the_doubts_of_its_own_phone_and_no_answer_to_it(village: Village) -> None:
    """First aid that may not have come goes again to who has stopped; so does what another phone waits for."""
    postroom = Postroom(village)
    stopped, other = postroom.phone(), postroom.phone()
    pushed, answer = (postroom.put(kind=kind, phone_id=stopped) for kind in ("reminder", "emergency"))
    others = postroom.put(phone_id=other)
    postroom.claim()
    postroom.sender.recover()
    postroom.stop(stopped)
    postroom.wait(minutes=10)

    assert 2 == postroom.settle_doubts()
    assert ["in_doubt", "due", "due"] == [postroom.state(key) for key in (pushed, answer, others)]
    assert f"{NOT_AGAIN}the phone has stopped" == postroom.row(pushed)["why"]
