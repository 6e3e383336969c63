"""Backups made while a writer is at work, damaged files, and what is no backup of ours."""

import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pytest
from click.testing import CliRunner

from service.cli.main import main
from service.core.errors import KeyFileError, Refused
from service.db.copies import check_backup, copies_of, count_rows, make_backup
from service.db.engine import open_engine
from service.db.migrate import migrate
from service.db.work import Database
from tests.depth import times
from tests.functional.test_restoring import postgres_programs
from tests.village import SEAL

BACKUPS = times(50, each=10)
# A writer in a process of its own: two rows in each transaction, which a backup must have both of or neither.
WRITER = """
import sys
from sqlalchemy import text
from service.db.engine import open_engine, transaction
engine = open_engine(sys.argv[1])
number = 0
while True:
    number += 1
    with transaction(engine) as connection:
        for half in ("left", "right"):
            values = {"name": f"{half} {number}", "value": "x" * 500}
            connection.execute(text("INSERT INTO setting (name, value) VALUES (:name, :value)"), values)
        connection.commit()
    if number == 5:
        print("writing", flush=True)
"""
ROOT = Path(__file__).parents[2]


@contextmanager
def writing(url: str) -> Iterator[None]:
    """Have another process write all the time."""
    writer = subprocess.Popen(
        [sys.executable, "-c", WRITER, url], cwd=ROOT, stdout=subprocess.PIPE, text=True
    )
    assert writer.stdout is not None
    assert "writing\n" == writer.stdout.readline()
    try:
        yield
        assert writer.poll() is None
    finally:
        writer.kill()
        writer.communicate()


def prepared(url: str) -> Database:
    """Make a database with its tables and keys."""
    database = Database(url, SEAL)
    migrate(database.engine)
    database.hold_keys()
    return database


@pytest.mark.slow
def test_backups_under_load_are_whole(tmp_path: Path) -> None:
    """All of many are whole by SQLite's own check, and hold both rows of each transaction or neither."""
    url = f"sqlite:///{tmp_path / 'trussline.db'}"
    database = prepared(url)
    copies = copies_of(database.engine, None)
    counts = []

    with writing(url):
        for number in range(BACKUPS):
            file = tmp_path / f"{number}.db"
            make_backup(copies, file)
            with closing(sqlite3.connect(file)) as backup:
                whole = backup.execute("PRAGMA integrity_check").fetchall()
                halves = backup.execute(
                    "SELECT count(*) FILTER (WHERE name LIKE 'left %'),"
                    " count(*) FILTER (WHERE name LIKE 'right %') FROM setting"
                ).fetchone()
            counts.append((whole, halves[0] - halves[1], halves[0]))
            file.unlink()

    database.close()
    assert [([("ok",)], 0)] * BACKUPS == [(whole, difference) for whole, difference, _ in counts]
    # The writer was at work: later backups hold more.
    assert counts[0][2] < counts[-1][2]


def test_a_backup_put_back_under_load_holds_what_was_committed(database_url: str, tmp_path: Path) -> None:
    """On both engines a backup taken while writing can be tried: it has all tables and whole transactions."""
    database = prepared(database_url)
    copies = copies_of(database.engine, postgres_programs())
    file = tmp_path / "backup"

    with writing(database_url):
        make_backup(copies, file)
    check_backup(copies, file, SEAL.mark)
    with copies.trial() as trial:
        copies_of(trial, postgres_programs()).put_back(file)
        migrate(trial)
        rows = count_rows(trial)

    database.close()
    # The keys' mark, and two rows for each transaction.
    assert rows["setting"] >= 11
    assert 1 == rows["setting"] % 2


def test_what_is_no_backup_of_ours_is_refused(database_url: str, tmp_path: Path) -> None:
    """A text, a cut file, another's keys: each is told before anything is replaced."""
    database = prepared(database_url)
    copies = copies_of(database.engine, postgres_programs())
    good, cut, letter = (tmp_path / name for name in ("good", "cut", "letter"))
    make_backup(copies, good)
    cut.write_bytes(good.read_bytes()[: good.stat().st_size // 2])
    letter.write_text("Dear all,", encoding="utf-8")

    for wrong in (cut, letter):
        with pytest.raises(Refused, match="is damaged, or no backup"):
            check_backup(copies, wrong, SEAL.mark)
    with pytest.raises(Refused, match="is no file"):
        check_backup(copies, tmp_path / "nowhere", SEAL.mark)
    with pytest.raises(KeyFileError, match="was made with other keys"):
        check_backup(copies, good, "another mark")
    with pytest.raises(Refused, match="is there already"):
        make_backup(copies, good)
    database.close()


def test_a_backup_is_for_us_alone(database_url: str, tmp_path: Path) -> None:
    """Names stand in it in clear."""
    database = prepared(database_url)
    file = tmp_path / "backup"

    make_backup(copies_of(database.engine, postgres_programs()), file)

    database.close()
    assert 0o600 == file.stat().st_mode & 0o777
    assert [file] == [path for path in tmp_path.iterdir() if path.name.startswith("backup")]


@pytest.fixture
def runner(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> CliRunner:
    """A terminal of a programme with a database and a backup of it."""
    monkeypatch.chdir(tmp_path)
    made = CliRunner(env={"TRUSSLINE_DATA_DIR": str(tmp_path / "data")})
    for line in ("migrate", "backup monday.db"):
        assert 0 == made.invoke(main, line.split()).exit_code
    return made


DAMAGES = {
    "overwritten from the start": lambda data: os.urandom(8192) + data[8192:],  # noqa: TID251 - any bytes will do
    "bytes flipped in a page": lambda data: (
        data[:4096] + bytes(255 - one for one in data[4096:12288]) + data[12288:]
    ),
    "cut short": lambda data: data[: len(data) // 2],
}


@pytest.mark.parametrize("damage", DAMAGES.values(), ids=DAMAGES)
def test_a_damaged_database_is_never_worked_on(runner: CliRunner, tmp_path: Path, damage: object) -> None:
    """The worker refuses to start, names the newest backup and the command, and has not written a byte."""
    file = tmp_path / "data" / "trussline.db"
    assert callable(damage)
    file.write_bytes(damage(file.read_bytes()))
    broken = file.read_bytes()

    refused = runner.invoke(main, ["worker"])
    put_back = runner.invoke(main, ["restore", "monday.db", "--force"])
    after = runner.invoke(main, ["hold", "show"])

    assert 1 == refused.exit_code
    assert "is damaged" in refused.stderr
    assert f"trussline restore {tmp_path / 'monday.db'} --force" in refused.stderr
    assert "Traceback" not in refused.output
    assert (0, 0) == (put_back.exit_code, after.exit_code)
    assert broken == file.with_name("trussline.db.replaced").read_bytes()


def test_a_restore_beside_a_worker_is_refused(runner: CliRunner, tmp_path: Path) -> None:
    """A database is not taken from under a running worker."""
    url = f"sqlite:///{tmp_path / 'data' / 'trussline.db'}"
    holder = (
        "import sys, threading\nfrom service.db.engine import open_engine\nfrom service.db.only_one import only_one\n"
        "with only_one(open_engine(sys.argv[1])):\n    print('held', flush=True)\n    sys.stdin.read()\n"
    )
    worker = subprocess.Popen(
        [sys.executable, "-c", holder, url],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert worker.stdout is not None
    worker.stdout.readline()

    refused = runner.invoke(main, ["restore", "monday.db", "--force"])

    worker.communicate()
    assert 1 == refused.exit_code
    assert "Another worker is running on this database: stop it first.\n" == refused.stderr


def test_a_database_that_is_there_is_not_replaced_unasked(runner: CliRunner) -> None:
    """--force is said by a person, and the old file is set aside, not deleted."""
    refused = runner.invoke(main, ["restore", "monday.db"])

    assert 1 == refused.exit_code
    assert "There is a database already: say --force to put the backup in its place.\n" == refused.stderr


def test_a_trial_replaces_nothing_and_is_remembered(runner: CliRunner, tmp_path: Path) -> None:
    """The backup is put back elsewhere, counted, and its trial stands in the settings."""
    tried = runner.invoke(main, ["restore", "monday.db", "--trial"])

    assert 0 == tried.exit_code
    assert "The backup monday.db is good: 0 farmer rows" in tried.stdout
    engine = open_engine(f"sqlite:///{tmp_path / 'data' / 'trussline.db'}")
    with engine.connect() as connection:
        proved = connection.exec_driver_sql(
            "SELECT value FROM setting WHERE name = 'backup_proved_at'"
        ).scalar()
    engine.dispose()
    assert proved
    assert not list((tmp_path / "data").glob("*.trial*"))
