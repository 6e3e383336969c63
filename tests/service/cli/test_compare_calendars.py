"""What another crop calendar would change is told before it is put in force."""

from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from sqlalchemy import insert

from service.agronomy.calendar import DEFAULT_CALENDAR, load_calendar
from service.cli.main import main
from service.clock import RealClock, local_day
from service.db.tables.people import district, farmer
from service.db.tables.plots import plot
from service.db.work import Database
from service.keys import open_or_make
from service.settings import Settings, given_settings
from service.use_cases.planting import default_days
from tests.village import ZONE

SHIPPED = load_calendar()
SOONER = """
version = 3

[tasks.flowers_off]
last = 90
source = "invented"

[tasks.flowers_stay]
first = 91
source = "invented"
"""


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """The settings of a programme whose data lie in the test's folder."""
    return given_settings(data_dir=tmp_path / "data")


@pytest.fixture
def runner(settings: Settings, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> CliRunner:
    """A terminal of a programme with plots of 50, 100 and 100 days, and one that is closed."""
    monkeypatch.chdir(tmp_path)
    runner = CliRunner(env={"TRUSSLINE_DATA_DIR": str(settings.data_dir)})
    assert 0 == runner.invoke(main, ["migrate"]).exit_code
    seal, _ = open_or_make(settings.keys)
    database = Database(settings.database, seal)
    now = RealClock().now()
    today = local_day(now, ZONE)
    with database.engine.begin() as connection:
        connection.execute(insert(district).values(id=1, name="Zaruvi", zone=ZONE))
        connection.execute(
            insert(farmer).values(
                id=1, name="Asha", language="sw", district_id=1, state="active", added_at=now
            )
        )
        for age, live in ((50, True), (100, True), (100, True), (100, False)):
            connection.execute(
                insert(plot).values(
                    farmer_id=1,
                    planted_on=today - timedelta(days=age),
                    precision="exact",
                    plants=400,
                    zone=ZONE,
                    calendar_id=SHIPPED.id,
                    live=live,
                    **default_days(today),
                )
            )
    database.close()
    return runner


def told(runner: CliRunner, text: str) -> list[str]:
    """Return what the command says of a file."""
    Path("sooner.toml").write_text(text, encoding="utf-8")
    result = runner.invoke(main, ["calendar", "--compare", "sooner.toml"])
    assert 0 == result.exit_code, result.output
    return str(result.stdout).splitlines()


def test_jobs_that_differ_are_told_with_their_plots(runner: CliRunner) -> None:
    """Two plots have passed the new day and not the old one: somebody has to tell them."""
    lines = told(runner, SOONER)

    assert [
        f"{SHIPPED.id} {SHIPPED.edition} in force, {SHIPPED.version}.3 with sooner.toml; 3 plots planned by it.",
        "flowers_off: last 113 -> 90",
        "  on other days from tomorrow on: 3 plots",
        "flowers_stay: first 120 -> 91",
        "  on other days from tomorrow on: 3 plots",
        "  may never be told, as the new day is here or past: 2 plots; tell their farmers yourself",
        "Nothing has changed yet. Set calendar_file to the file and start the service again to put it in force.",
    ] == lines


def test_the_same_calendar_differs_in_nothing(runner: CliRunner) -> None:
    """A whole calendar may be compared as well as a file of what differs."""
    assert "No job differs." == told(runner, DEFAULT_CALENDAR.read_text(encoding="utf-8"))[-1]


def test_a_version_that_was_not_raised_is_asked_for(runner: CliRunner) -> None:
    """Plots remember versions: two calendars must not share one."""
    text = DEFAULT_CALENDAR.read_text(encoding="utf-8").replace("first = 137", "first = 138")

    assert (
        f"Raise the version in sooner.toml first: {SHIPPED.edition} is in force with other figures."
        in told(runner, text)
    )


def test_a_calendar_of_another_name_is_refused(runner: CliRunner) -> None:
    """No plot would be planned by it."""
    text = DEFAULT_CALENDAR.read_text(encoding="utf-8").replace(f'id = "{SHIPPED.id}"', 'id = "lowland"')
    Path("low.toml").write_text(text, encoding="utf-8")
    result = runner.invoke(main, ["calendar", "--compare", "low.toml"])

    assert 1 == result.exit_code
    assert f"has the id lowland, but plots are planned by {SHIPPED.id}: give it that id." in result.stderr


def test_neither_day_nor_file_is_refused(runner: CliRunner) -> None:
    """The command says what it needs."""
    result = runner.invoke(main, ["calendar"])

    assert 2 == result.exit_code
    assert "Give a planting date, like 2026-03-25, or a file with --compare." in result.stderr


def test_a_district_is_compared_with_its_own_plots(runner: CliRunner, tmp_path: Path) -> None:
    """What a file of differences would change there, and where it goes to be in force."""
    file = tmp_path / "sooner.toml"
    file.write_text(SOONER, encoding="utf-8")
    found = runner.invoke(main, ["calendar", "--compare", str(file), "--district", "zaruvi"])
    nowhere = runner.invoke(main, ["calendar", "--compare", str(file), "--district", "Nowhere"])

    assert 0 == found.exit_code
    assert "3 plots planned by it." in found.stdout
    assert "as Zaruvi.toml and start the service again" in found.stdout
    assert "There is no district Nowhere" in nowhere.stderr


def test_the_days_of_a_district_are_in_force(
    runner: CliRunner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From a file in the folder that the setting names; compared with itself it changes nothing."""
    folder = tmp_path / "days"
    monkeypatch.setenv("TRUSSLINE_CALENDARS_DIR", str(folder))
    missing = runner.invoke(main, ["calendar", "2026-03-25"])
    folder.mkdir()
    (folder / "Zaruvi.toml").write_text(SOONER, encoding="utf-8")
    usual = runner.invoke(main, ["calendar", "2026-03-25", "--to", "2026-06-30"])
    own = runner.invoke(main, ["calendar", "2026-03-25", "--to", "2026-06-30", "--district", "Zaruvi"])
    same = runner.invoke(main, ["calendar", "--compare", str(folder / "Zaruvi.toml"), "--district", "Zaruvi"])

    assert "calendars_dir is not there" in missing.stderr
    assert ("Leave flowers" in usual.stdout, "Leave flowers" in own.stdout) == (False, True)
    assert "No job differs." in same.stdout
