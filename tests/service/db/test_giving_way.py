"""Who writes much leaves room for those who write little."""

import threading
from pathlib import Path

from service.db.migrate import migrate
from service.db.sealing import Seal
from service.db.work import Database

MOST = 40


def test_one_who_writes_on_and_on_lets_another_in(tmp_path: Path) -> None:
    """A text that comes in while a day is merged is stored between two transactions, not after the last one."""
    address = f"sqlite:///{tmp_path / 'trussline.db'}"
    seal = Seal(sealing_key=b"s" * 32, index_key=b"i" * 32)
    many, one = Database(address, seal), Database(address, seal)
    migrate(many.engine)
    begun, stored = threading.Event(), threading.Event()

    def store() -> None:
        begun.wait()
        with one.work() as work:
            work.staff.put_setting("text", "stored")
            work.commit()
        stored.set()

    other = threading.Thread(target=store)
    other.start()
    turns = 0
    while turns < MOST and not stored.is_set():
        with many.work() as work:
            begun.set()
            work.staff.put_setting("turn", str(turns))
            # The lock is held as long as a chunk takes.
            stored.wait(0.02)
            work.commit()
        many.give_way(0.005)
        turns += 1
    other.join()
    many.close()
    one.close()

    assert turns < MOST
