"""A disk that cannot keep what it was given: the process ends at once, and what is started next knows what is true."""

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Final

import pytest

from service.ending import STATUS
from service.gateways.simulator_faults import Faults
from tests.faults.failing_disk import BOTH
from tests.faults.stage import ROOT, Stage

NO_RECEIPTS: Final = Faults(lost_receipt=1.0)
WRITERS: Final = {
    "journal": """
from service.core.journal import Refusals
from service.journal import FileJournal
journal = FileJournal(folder)
refuse_in_this_thread(BOTH)
journal.keep_refusals(Refusals(stopped=frozenset({b"a"})))
""",
    "database": """
from service.db.engine import open_engine, transaction
with transaction(open_engine(f"sqlite:///{folder / 'trussline.db'}")) as connection:
    connection.exec_driver_sql("CREATE TABLE one (two)")
    refuse_in_this_thread(BOTH)
    connection.commit()
""",
}
SCRIPT: Final = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
folder = Path(sys.argv[2])
from tests.faults.failing_disk import BOTH, refuse_in_this_thread
try:
{writer}
finally:
    print("it went on")
"""


@pytest.mark.parametrize("what", WRITERS)
def test_what_cannot_be_brought_to_disk_ends_the_process_with_a_sentence(what: str, tmp_path: Path) -> None:
    """No error is raised that somebody could catch: the process is gone, and says why and what to do."""
    writer = WRITERS[what].strip().replace("\n", "\n    ")
    script = SCRIPT.format(writer=f"    {writer}")

    done = subprocess.run(
        [sys.executable, "-c", script, str(ROOT), str(tmp_path)], capture_output=True, text=True, check=False
    )

    assert (STATUS, "") == (done.returncode, done.stdout)
    (sentence,) = done.stderr.splitlines()
    assert what in sentence
    assert str(tmp_path) in sentence
    assert "look after that disk, then start the service again" in sentence


@pytest.mark.slow
@pytest.mark.parametrize("refused", [("fsync",), BOTH], ids=["of the journal", "of the database too"])
def test_started_again_nothing_is_lost_and_nothing_goes_twice(
    stage: Callable[..., Stage], refused: tuple[str, ...]
) -> None:
    """The disk fails at one commit of the sender after the other: before its texts leave, between and after them."""
    set_up = stage(faults=NO_RECEIPTS)
    words = set_up.queue(60)

    ends = [
        set_up.live(way="work_until_unsynced", may_end=STATUS, commit=number, refused=refused)
        for number in (1, 2, 3, 5, 9, 10)
    ]
    for _ in range(3):
        assert 0 == set_up.live()
    found = set_up.judge(words)

    assert [STATUS] * 6 == ends
    assert ([], [], [], 0) == (found.lost, found.silent, found.untold, found.twice)
    assert {"accepted": 60} == found.states
