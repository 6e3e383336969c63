"""A backup is put back that knows nothing of what became of officers and districts since: that is told, or mended."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from service.cli.main import main


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A programme with an administrator and officers, of which a backup was made."""
    monkeypatch.chdir(tmp_path)
    run("migrate")
    run("district", "add", "Zaruvi")
    for name, role in (
        ("Asha", "administrator"),
        ("Grace", "officer"),
        ("Juma", "officer"),
        ("Neema", "officer"),
    ):
        run("officer", "add", name, "--role", role, "--district", "Zaruvi")
    run("officer", "disable", "Neema")
    run("backup", "monday.backup")
    return tmp_path


def run(*arguments: str) -> str:
    """Type a command and return what it says."""
    done = CliRunner().invoke(main, arguments)
    assert 0 == done.exit_code, done.output
    return done.stdout


def test_who_was_shut_out_since_stays_so_and_the_rest_is_told(folder: Path) -> None:
    """A disabled officer is never let in by an old backup; what is merely forgotten is a sentence each."""
    run("officer", "disable", "Juma")
    run("district", "add", "Ndaliro")
    run("officer", "change", "Grace", "--role", "approver", "--district", "Ndaliro")
    run("officer", "add", "Zuhura", "--district", "Ndaliro")
    run("officer", "reset", "Neema")

    said = run("restore", "monday.backup", "--force")

    assert [
        "Juma was disabled after the backup, and is so again.",
        "The district Ndaliro was added after the backup: trussline district add, if it is still wanted.",
        "Grace was approver of Ndaliro and is now officer of Zaruvi, as in the backup: trussline officer change.",
        "Neema was officer of Zaruvi and is now disabled, as in the backup: trussline officer reset.",
        "Zuhura was added after the backup (officer of Ndaliro): trussline officer add, if they still belong here.",
        "Everybody signs in anew. One-time codes no longer work: trussline officer reset NAME gives a new one.",
    ] == said.splitlines()[1:-1]
    listed = {line.partition(":")[0]: line for line in run("officer", "list").splitlines()}
    assert "disabled since" in listed["Juma"]
    assert "disabled since" not in listed["Grace"]
    assert "officer.disabled" in run("audit", "list")


def test_nothing_changed_leaves_only_the_codes_to_tell(folder: Path) -> None:
    """Whoever tries a restore at once is not frightened by a list."""
    said = run("restore", "monday.backup", "--force")

    assert 3 == len(said.splitlines())


def test_the_last_administrator_of_a_backup_cannot_be_shut_out_and_is_named(folder: Path) -> None:
    """Somebody has to let the others in; who that is again is said."""
    run("officer", "add", "Zuhura", "--role", "administrator")
    run("officer", "disable", "Asha")

    said = run("restore", "monday.backup", "--force")

    assert "Asha was disabled after the backup and is active again: Asha is the last administrator" in said


@pytest.mark.parametrize("state", ["gone", "damaged"])
def test_a_database_that_cannot_be_asked_is_said_to_be_so(folder: Path, state: str) -> None:
    """What only the lost database knew is lost: the person is sent to look before anything starts."""
    file = folder / "trussline-data" / "trussline.db"
    file.unlink()
    for part in ("-wal", "-shm"):
        file.with_name(file.name + part).unlink(missing_ok=True)
    if state == "damaged":
        file.write_bytes(b"no database, but long enough to be taken for a damaged one" * 9)

    said = run("restore", "monday.backup", "--force")

    assert "whoever was disabled since may be active again. Look at trussline officer list" in said
