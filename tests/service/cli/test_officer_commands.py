"""The commands about officers, places and the record, as an administrator types them."""

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from sqlalchemy import update

from service.cli.main import main
from service.core.phone import read_number
from service.db.tables.staff import audit
from service.db.work import Database
from service.keys import open_or_make
from service.settings import Settings, given_settings


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """The settings of a programme whose data lie in the test's folder."""
    return given_settings(data_dir=tmp_path / "data")


@pytest.fixture
def runner(settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> CliRunner:
    """A terminal with those settings, and a database with two districts and an administrator."""
    monkeypatch.chdir(tmp_path)
    made = CliRunner(env={"TRUSSLINE_DATA_DIR": str(settings.data_dir)})
    run(made, "migrate")
    run(made, "district", "add", "Zaruvi", "--elevation", "1650")
    run(made, "district", "add", "Ndaliro")
    run(made, "officer", "add", "Boss")
    return made


def run(runner: CliRunner, *arguments: str) -> str:
    """Run a command that must succeed and return what it says."""
    result = runner.invoke(main, arguments)
    assert 0 == result.exit_code, result.output
    return result.stdout


def refused(runner: CliRunner, *arguments: str) -> str:
    """Run a command that must be refused and return its sentence."""
    result = runner.invoke(main, arguments)
    assert result.exit_code in (1, 2), result.output
    return result.stderr


def test_first_person_administers_and_others_have_districts(runner: CliRunner) -> None:
    """The first officer sees everything; after that each needs a role or a district."""
    added = run(runner, "officer", "add", "Grace", "--district", "ndaliro")
    run(
        runner,
        "officer",
        "add",
        "Juma",
        "--role",
        "approver",
        "--district",
        "Zaruvi",
        "--district",
        "Ndaliro",
    )

    assert "Grace is officer, Ndaliro." in added
    assert re.search(r"One-time code for Grace, good once within 24 hours: [A-Z2-9-]{26,}", added)
    assert "Say for which district" in refused(runner, "officer", "add", "Nobody")
    assert [
        "Boss: administrator, all districts",
        "Grace: officer, Ndaliro",
        "Juma: approver, Zaruvi, Ndaliro",
    ] == run(runner, "officer", "list").splitlines()


def test_new_login_needs_no_district(runner: CliRunner) -> None:
    """Somebody who is there already gets another code and keeps their rights."""
    run(runner, "officer", "add", "Grace", "--district", "Ndaliro")

    assert "Grace is officer, Ndaliro." in run(runner, "officer", "add", "Grace")


def test_unknown_district_names_those_there_are(runner: CliRunner) -> None:
    """A slip in a district's name is answered with the names there are."""
    said = refused(runner, "officer", "add", "Grace", "--district", "Ndalira")

    assert "There is no district Ndalira. There are: Zaruvi, Ndaliro.\n" == said


def test_rights_are_changed_and_taken(runner: CliRunner) -> None:
    """Role and districts can be changed, an officer disabled and let in again; the last administrator stays."""
    run(runner, "officer", "add", "Grace", "--district", "Ndaliro")
    changed = run(runner, "officer", "change", "grace", "--role", "approver", "--district", "Zaruvi")
    run(runner, "officer", "disable", "Grace")
    gone = run(runner, "officer", "list")
    back = run(runner, "officer", "reset", "Grace")

    assert "Grace is approver, Zaruvi.\n" == changed
    assert re.search(r"Grace: approver, Zaruvi, disabled since \d{4}-\d\d-\d\d", gone)
    assert "One-time code for Grace" in back
    assert "disabled" not in run(runner, "officer", "list")
    assert "Boss is the last administrator" in refused(runner, "officer", "disable", "Boss")
    assert "There is no officer called Nobody" in refused(runner, "officer", "reset", "Nobody")


def test_phone_speaks_for_its_officer(runner: CliRunner, settings: Settings) -> None:
    """A number given with an officer is theirs; one that cannot be texted is refused before anything is kept."""
    bad = refused(runner, "officer", "add", "Juma", "--district", "Zaruvi", "--phone", "12")
    run(runner, "officer", "add", "Grace", "--district", "Ndaliro", "--phone", "0621 234 567")
    database = Database(settings.database, open_or_make(settings.keys)[0])
    with database.look() as work:
        phone = work.people.find_phone(read_number("+255621234567", "TZ"))
        assert phone is not None
        found = work.staff.officer_on_phone(phone)
    database.close()

    assert "That is not a phone number" in bad
    assert "Juma" not in run(runner, "officer", "list")
    assert found is not None
    assert "Grace" == found.name


def test_places_lie_in_districts(runner: CliRunner) -> None:
    """Villages and groups are added to a district once, and listed under it."""
    for _ in range(2):
        assert "Added to Ndaliro: Upper Field\n" == run(
            runner, "village", "add", "Upper  Field", "--district", "ndaliro"
        )
    run(runner, "group", "add", "Basket Group", "--district", "Ndaliro")

    assert [
        "1. Zaruvi (Africa/Dar_es_Salaam, 1,650 m)",
        "2. Ndaliro (Africa/Dar_es_Salaam)",
        "   villages: Upper Field",
        "   groups: Basket Group",
    ] == run(runner, "district", "list").splitlines()
    assert "1 to 40 letters" in refused(runner, "village", "add", "7", "--district", "Ndaliro")
    assert "There is no district" in refused(runner, "group", "add", "Basket", "--district", "Ndalira")


def test_record_is_listed_and_checked(runner: CliRunner, settings: Settings) -> None:
    """What was done stands in the record with whom and what; a row changed behind its back is found."""
    run(runner, "officer", "add", "Grace", "--district", "Ndaliro")
    lines = run(runner, "audit", "list").splitlines()
    (newest,) = run(runner, "audit", "list", "--last", "1", "--json").splitlines()
    holds = run(runner, "audit", "check")
    database = Database(settings.database, open_or_make(settings.keys)[0])
    with database.engine.begin() as connection:
        connection.execute(update(audit).where(audit.c.id == 2).values(action="officer.enabled"))
    database.close()
    broken = refused(runner, "audit", "check")

    assert ["officer.invited", "officer.added", "officer.invited", "officer.added"] == [
        line.split("  ")[-3] for line in lines
    ]
    assert {"action": "officer.invited", "subject": "officer:2", "officer": None} == {
        key: json.loads(newest)[key] for key in ("action", "subject", "officer")
    }
    assert "The record holds: 4 rows.\n" == holds
    assert (
        "The record does not hold: row 2 was changed after it was written. Rows before it that hold: 1.\n"
        == broken
    )
