"""Keys or a database that are away: told with what to put back, and nothing is made in their place unasked."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from service.cli.main import main
from service.keys import open_keys, open_or_make

NOBODY_MADE_ANY = "There is no database of this service at "


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty folder to be in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def data(folder: Path) -> Path:
    """The data of a programme that was set up and backed up."""
    answers(folder)
    set_up = run("setup", "--answers", "answers.toml")
    assert 0 == set_up.exit_code, set_up.output
    assert 0 == run("backup", "monday.backup").exit_code
    return folder / "data"


def run(*arguments: str, typed: str | None = None) -> Result:
    """Type a command, and what it asks for."""
    return CliRunner().invoke(main, arguments, input=typed)


def answers(folder: Path) -> None:
    """Write a file with the answers that setup needs."""
    given = {"districts": ["Zaruvi 1650"], "data_dir": str(folder / "data"), "administrator": "Grace"}
    lines = (f"{name} = {json.dumps(value)}" for name, value in given.items())
    (folder / "answers.toml").write_text("\n".join(lines), encoding="utf-8")


@pytest.mark.parametrize(
    "typed",
    [
        ("ready",),
        ("keys",),
        ("migrate",),
        ("migrate", "--new"),
        ("setup", "--answers", "answers.toml"),
        ("officer", "list"),
        ("backup", "b"),
    ],
    ids=" ".join,
)
def test_a_lost_key_file_is_asked_for_and_never_made_anew(data: Path, typed: tuple[str, ...]) -> None:
    """New keys would open no number of the database, and a sheet of them would be a false one."""
    (data / "keys.json").unlink()

    said = run(*typed)

    assert 1 == said.exit_code
    assert f"The key file {data / 'keys.json'} is not there" in said.stderr
    assert "put it back from your recovery sheet, with mode 600" in said.stderr
    assert "Recovery sheet" not in said.stdout
    assert not (data / "keys.json").exists()


def test_the_sheet_of_other_keys_is_not_printed(data: Path) -> None:
    """Keys of another programme, laid there by mistake, are named for what they are."""
    (data / "keys.json").unlink()
    open_or_make(data / "keys.json")

    said = run("keys")

    assert 1 == said.exit_code
    assert "The key file is not the one this database was made with" in said.stderr
    assert "" == said.stdout


@pytest.mark.parametrize(
    "typed",
    [("ready",), ("officer", "list"), ("migrate",), ("setup", "--answers", "answers.toml")],
    ids=" ".join,
)
def test_a_lost_database_is_told_with_its_newest_backup(
    folder: Path, data: Path, typed: tuple[str, ...]
) -> None:
    """The keys show that there was one; nobody is sent to set up a new programme in its place."""
    (data / "trussline.db").unlink()

    said = run(*typed)

    assert 1 == said.exit_code
    assert f"This programme had a database at sqlite:///{data / 'trussline.db'}" in said.stderr
    assert f"put it back with trussline restore {folder / 'monday.backup'}." in said.stderr
    assert not (data / "trussline.db").exists()


def test_a_lost_database_comes_back_from_the_backup_that_was_named(folder: Path, data: Path) -> None:
    """No --force is needed where nothing is replaced, and the districts are there again."""
    (data / "trussline.db").unlink()

    back = run("restore", str(folder / "monday.backup"))

    assert 0 == back.exit_code, back.output
    assert "1. Zaruvi" in run("district", "list").stdout


def test_a_database_and_its_keys_that_are_lost_leave_the_journal_to_tell(data: Path) -> None:
    """The folder of the send journal may lie on another disk, and knows that texts were sent or backups made."""
    (data / "trussline.db").unlink()
    (data / "keys.json").unlink()

    asked, migrated = run("ready"), run("migrate")

    assert f"{data / 'journal'} shows that this programme had one" in asked.stderr
    assert f"by its send journal at {data / 'journal'}" in migrated.stderr
    assert [1, 1] == [asked.exit_code, migrated.exit_code]
    assert not (data / "keys.json").exists()


def test_a_programme_that_is_meant_to_be_new_is_made_new(data: Path) -> None:
    """The keys stay those there were: an old backup can still be read."""
    before = open_keys(data / "keys.json")
    (data / "trussline.db").unlink()

    said = run("migrate", "--new")

    assert 0 == said.exit_code, said.output
    assert before.mark == open_keys(data / "keys.json").mark
    assert "" == run("officer", "list").stdout


def test_a_person_is_asked_before_an_empty_database_takes_a_lost_ones_place(folder: Path, data: Path) -> None:
    """Without a yes nothing is made, and the settings stay as they were."""
    (data / "trussline.db").unlink()
    before = (folder / "trussline.toml").read_text(encoding="utf-8")
    as_it_was = "\n" * 11

    kept = run("setup", typed=f"{as_it_was}n\n")
    broken_off = run("setup", typed=as_it_was)
    made = run("setup", typed=f"{as_it_was}y\n")

    assert "Make a new, empty database?" in kept.stdout
    assert ["Nothing was changed or made"] * 2 == [
        one.stderr.strip().partition(":")[0] for one in (kept, broken_off)
    ]
    assert before == (folder / "trussline.toml").read_text(encoding="utf-8")
    assert 0 == made.exit_code, made.output


def test_keys_that_never_sealed_anything_are_no_trace_of_a_programme(folder: Path) -> None:
    """A setup that was broken off between keys and database is simply run again, and ends with the sheet."""
    answers(folder)
    open_or_make(folder / "data" / "keys.json")

    before = run("officer", "list")
    again = run("setup", "--answers", "answers.toml")

    assert before.stderr.startswith(NOBODY_MADE_ANY)
    assert 0 == again.exit_code, again.output
    assert (folder / "data" / "keys.json").read_text(encoding="utf-8") in again.stdout


def test_the_sheet_is_shown_whoever_made_the_keys_and_asked_for_until_it_was(folder: Path) -> None:
    """Migrate made them first: ready wants the sheet printed, setup shows it, and the next says when that was."""
    answers(folder)
    settings = {"TRUSSLINE_DATA_DIR": str(folder / "data")}
    made = CliRunner(env=settings).invoke(main, ["migrate"])
    wanted = CliRunner(env=settings).invoke(main, ["ready"])

    shown = run("setup", "--answers", "answers.toml")
    again = run("setup", "--answers", "answers.toml")

    assert "New keys were made" in made.stderr
    assert "NO   The recovery sheet was printed: it was never shown" in wanted.stdout
    assert "NO   There is a district: none" in wanted.stdout
    assert "Recovery sheet: print this" in shown.stdout
    assert "Recovery sheet: print this" not in again.stdout
    assert "to see it again: trussline keys" in again.stdout
    assert "yes  The recovery sheet was printed" in run("ready").stdout


def test_printing_the_sheet_is_kept(folder: Path) -> None:
    """Whoever never ran setup has printed it all the same."""
    run("migrate")

    run("keys")

    assert "yes  The recovery sheet was printed" in run("ready").stdout


def test_a_sheet_is_printed_without_a_database_and_says_that_nobody_compared(data: Path) -> None:
    """Keys are to be had in an emergency too; that they are the right ones is then not known."""
    (data / "trussline.db").write_bytes(b"no database, but long enough to be taken for a damaged one" * 9)

    said = run("keys")

    assert 0 == said.exit_code, said.output
    assert (data / "keys.json").read_text(encoding="utf-8") in said.stdout
    assert "No database was there to compare these keys with" in said.stderr


def test_a_damaged_database_without_its_keys_gets_no_new_ones(data: Path) -> None:
    """What is damaged can perhaps be mended, and then it wants its own keys."""
    (data / "trussline.db").write_bytes(b"no database, but long enough to be taken for a damaged one" * 9)
    (data / "keys.json").unlink()
    (data / "journal" / "backups.jsonl").unlink()

    said = run("migrate")

    assert f"The key file {data / 'keys.json'} is not there" in said.stderr
    assert not (data / "keys.json").exists()
