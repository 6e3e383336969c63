"""An older database is put in the place of the right one; the network's own journal tells what was sent again."""

import json
from collections import Counter
from collections.abc import Callable

import pytest

from service.db.copies import make_backup
from service.db.copies_sqlite import SqliteCopies
from service.gateways.simulator_faults import Faults
from service.use_cases.holding import release_hold
from tests.faults.stage import SIGKILL, Stage

pytestmark = pytest.mark.slow

# Without receipts no doubt is settled by luck.
NO_RECEIPTS = Faults(lost_receipt=1.0)


def took(stage: Stage) -> Counter[str]:
    """Return how often the network took each text, by its own journal."""
    lines = stage.journal.read_text(encoding="utf-8").splitlines()
    return Counter(json.loads(line)["text"] for line in lines)


def hold(stage: Stage) -> str:
    """Return why texts wait, "" if they do not."""
    kept = stage.ask("SELECT value FROM setting WHERE name = 'hold'")
    return str(json.loads(kept[0][0])["reason"]) if kept and kept[0][0] else ""


@pytest.mark.parametrize("sent_before", [0, 1, 17], ids=["none", "one", "some"])
def test_a_backup_put_back_sends_nothing_again(stage: Callable[..., Stage], sent_before: int) -> None:
    """Texts are sent before and after the backup, with kills on the way; put back and started, nothing goes twice."""
    set_up = stage(faults=NO_RECEIPTS)
    words = set_up.queue(40)
    copies = SqliteCopies(set_up.database.engine)
    if sent_before:
        assert SIGKILL == set_up.live(f"acked:{sent_before}")
    make_backup(copies, set_up.folder / "monday.db")
    assert SIGKILL == set_up.live("wired:5")
    for _ in range(3):
        assert 0 == set_up.live()
    before = took(set_up)

    copies.put_back(set_up.folder / "monday.db")
    for _ in range(3):
        assert 0 == set_up.live()

    assert before == took(set_up)
    assert set(words) == set(before)
    assert "restored" == hold(set_up)
    states = dict(set_up.ask("SELECT state, count(*) FROM message GROUP BY state"))
    assert {"accepted", "in_doubt"} >= set(states)
    assert len(words) == sum(states.values())


def test_once_a_person_has_let_them_go_the_rest_goes_out_once(stage: Callable[..., Stage]) -> None:
    """Half of the texts had left after the backup when the machine was lost: they are not sent again, the others are."""
    set_up = stage(faults=NO_RECEIPTS)
    words = set_up.queue(40)
    copies = SqliteCopies(set_up.database.engine)
    make_backup(copies, set_up.folder / "monday.db")
    assert SIGKILL == set_up.live("acked:20")
    copies.put_back(set_up.folder / "monday.db")
    sent = took(set_up)

    assert 0 == set_up.live()
    assert "restored" == hold(set_up)
    assert sent == took(set_up)
    with set_up.database.work() as work:
        release_hold(work, None, set_up.now)
    for _ in range(3):
        assert 0 == set_up.live()

    assert "" == hold(set_up)
    # Of the batch that the machine died over four were in the journal and not on the wire: a person is asked.
    doubtful = {row[0] for row in set_up.ask("SELECT idem_key FROM message WHERE state = 'in_doubt'")}
    assert (20, 36, 36) == (sent.total(), took(set_up).total(), len(took(set_up)))
    assert {f"test:{number}" for number, text in enumerate(words) if text not in took(set_up)} < doubtful
    assert 5 == len(doubtful)


def test_a_lost_write_ahead_log_is_noticed(stage: Callable[..., Stage]) -> None:
    """Killed while sending, and the log beside the database removed: its last commits are gone, the journal knows."""
    set_up = stage(faults=NO_RECEIPTS)
    set_up.queue(40)
    assert SIGKILL == set_up.live("acked:20", check=False)
    for ending in ("-wal", "-shm"):
        set_up.file.with_name(f"{set_up.file.name}{ending}").unlink()
    assert [] == set_up.ask("SELECT * FROM attempt")
    before = took(set_up)

    assert 0 == set_up.live()

    assert 20 == sum(before.values())
    assert before == took(set_up)
    assert "restored" == hold(set_up)
    # What had not left is not lost: it waits for a person to let it go.
    waiting = set_up.ask("SELECT count(*) FROM message WHERE state = 'due'")
    assert [(40 - 20 - 4,)] == waiting


def test_a_start_after_a_kill_is_no_older_database(stage: Callable[..., Stage]) -> None:
    """However the worker died, its own database is known again, and nothing is held."""
    set_up = stage(faults=NO_RECEIPTS)
    set_up.queue(30)
    for point in ("claimed:2", "wired:3", "acked:4"):
        assert SIGKILL == set_up.live(point)
        assert "" == hold(set_up)
    assert 0 == set_up.live()

    assert "" == hold(set_up)
