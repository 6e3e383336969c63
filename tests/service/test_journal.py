"""The send journal keeps its promise in memory and in files; what files add is tried below."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from stat import S_IMODE

import pytest

from service.core.journal import Departed, Departure, Journal, JournalError, Outcome, Refusals
from service.journal import FileJournal, MemoryJournal

AT = datetime(2026, 11, 25, 7, 0, tzinfo=UTC)
FIRST = Departure(
    reference="r1",
    at=AT,
    queued_on=date(2026, 11, 25),
    message_id=1,
    idem_key="reminder:1:2026-11-25/runners/7/0",
    kind="reminder",
    phone=b"\x01\xff",
    farmer_id=1,
    gateway="simulator",
    language="sw",
    text_id="week",
    parts=1,
    zone="Africa/Dar_es_Salaam",
    expires_at=AT + timedelta(hours=48),
    paid_on=date(2026, 11, 25),
    jobs=("2026-11-25/runners/7/0/3/1",),
)
SECOND = replace(FIRST, reference="r2", farmer_id=None, jobs=())


@pytest.fixture(params=["memory", "files"])
def journal(request: pytest.FixtureRequest, tmp_path: Path) -> Journal:
    """A journal with nothing in it, once of each kind."""
    makes: dict[str, Callable[[], Journal]] = {
        "memory": MemoryJournal,
        "files": lambda: FileJournal(tmp_path / "journal"),
    }
    return makes[request.param]()


def told(journal: Journal) -> list[Departed]:
    """Return all that left, in the order in which it did."""
    return [one for stretch in reversed(list(journal.newest_first())) for one in stretch]


def test_an_empty_journal_tells_of_nothing(journal: Journal) -> None:
    """Nothing left, nobody stopped."""
    assert [] == told(journal)
    assert Refusals() == journal.refusals()


def test_what_left_is_told_with_what_came_of_it(journal: Journal) -> None:
    """A text of which nothing more is written is in doubt; what is told is equal to what was kept."""
    journal.leaving([FIRST, SECOND])
    journal.ended("r1", Outcome.ACCEPTED, "network-1")

    assert [
        Departed(departure=FIRST, outcome=Outcome.ACCEPTED, gateway_ref="network-1"),
        Departed(departure=SECOND, outcome=Outcome.DOUBT),
    ] == told(journal)


def test_who_stopped_is_told_until_they_start_again_and_who_was_erased_for_good(journal: Journal) -> None:
    """The last that was kept of a phone counts; nobody is ever un-erased."""
    journal.keep_refusals(Refusals(stopped=frozenset({b"a", b"b"}), erased=frozenset({7})))
    journal.keep_refusals(Refusals(stopped=frozenset({b"b", b"c"}), erased=frozenset({8})))

    assert Refusals(stopped=frozenset({b"b", b"c"}), erased=frozenset({7, 8})) == journal.refusals()


def test_another_process_reads_what_one_has_written(tmp_path: Path) -> None:
    """What changed while no journal was open is seen against what the files say."""
    FileJournal(tmp_path).keep_refusals(Refusals(stopped=frozenset({b"a"})))
    FileJournal(tmp_path).keep_refusals(Refusals(stopped=frozenset({b"b"})))

    assert frozenset({b"b"}) == FileJournal(tmp_path).refusals().stopped


def test_half_a_line_spoils_no_other(tmp_path: Path) -> None:
    """A power cut leaves half a line; what is written afterwards is read."""
    journal = FileJournal(tmp_path)
    journal.leaving([FIRST])
    journal.leaving([SECOND])
    (file,) = tmp_path.glob("sent-*.jsonl")
    file.write_bytes(file.read_bytes()[:-40])
    third = replace(FIRST, reference="r3")
    journal.leaving([third])

    assert ["r1", "r3"] == [one.departure.reference for one in told(FileJournal(tmp_path))]


def test_files_are_turned_and_the_oldest_go(tmp_path: Path) -> None:
    """No file grows for ever, and no more are kept than may be; the newest are told."""
    journal = FileJournal(tmp_path, longest=1, most=3)
    for number in range(6):
        journal.leaving([replace(FIRST, reference=f"r{number}")])

    assert ["sent-000004.jsonl", "sent-000005.jsonl", "sent-000006.jsonl"] == sorted(
        file.name for file in tmp_path.iterdir()
    )
    assert ["r3", "r4", "r5"] == [one.departure.reference for one in told(journal)]


def test_what_came_of_a_text_may_stand_in_a_later_file(tmp_path: Path) -> None:
    """A file may be turned between a text's leaving and its answer."""
    journal = FileJournal(tmp_path, longest=1)
    journal.leaving([FIRST])
    journal.ended("r1", Outcome.ACCEPTED, "network-1")

    assert Outcome.ACCEPTED is told(journal)[0].outcome


def test_only_we_may_read_it(tmp_path: Path) -> None:
    """Who was texted when is nobody's business."""
    FileJournal(tmp_path / "journal").leaving([FIRST])

    modes = {S_IMODE(path.stat().st_mode) for path in (tmp_path / "journal").iterdir()}
    assert {0o600} == modes
    assert 0o700 == S_IMODE((tmp_path / "journal").stat().st_mode)


def test_a_journal_that_cannot_be_written_says_so(tmp_path: Path) -> None:
    """Where the folder should be lies a file."""
    (tmp_path / "journal").write_text("in the way", encoding="utf-8")

    with pytest.raises(JournalError, match="nothing is sent: make room on that disk, or name another folder"):
        FileJournal(tmp_path / "journal").leaving([FIRST])
