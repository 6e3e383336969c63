"""Every command about an alert, typed in the name of officers with and without its district."""

from pathlib import Path
from typing import Final

import pytest
from click.testing import CliRunner, Result

from service.bootstrap import build
from service.cli.alert import alert
from service.cli.officer import officer
from service.core.alert_states import IllegalMove
from service.core.errors import Refused
from service.core.rights import Role
from service.db.migrate import migrate
from service.settings import Settings, given_settings
from service.use_cases.alerts.drafting import OutOfReach
from service.use_cases.districts import add_district
from service.use_cases.officers import add_officer

NEW: Final = ("new", "--template", "frost", "--figure", "-1", "--district", "Zaruvi")
# Those that speak in somebody's name; the others only tell, and whoever is at the machine may read all of it.
DEEDS: Final = ("send", "approve", "take-over", "pause", "resume", "call-off")
TELLS: Final = ("status", "report")


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Two districts, an administrator, and an officer and an approver for Ndaliro; a draft to Zaruvi, number first."""
    given = given_settings(data_dir=tmp_path / "data")
    house = build(given)
    house.ready_database()
    migrate(house.database.engine)
    now = house.real_clock.now()
    for name in ("Ndaliro", "Zaruvi"):
        with house.database.work() as work:
            add_district(work, name=name, zone=given.zone, elevation_m=2150)
    with house.database.look() as work:
        ndaliro = frozenset(one.id for one in work.people.districts() if one.name == "Ndaliro")
    people = (("Asha", Role.ADMINISTRATOR), ("Grace", Role.OFFICER), ("Juma", Role.APPROVER))
    for name, role in people:
        with house.database.work() as work:
            add_officer(work, name=name, code=f"code of {name}", now=now, role=role, districts=ndaliro)
    house.close()
    return given


def run(settings: Settings, *arguments: str) -> Result:
    """Type a command of `trussline alert`."""
    return CliRunner(env={"TRUSSLINE_DATA_DIR": str(settings.data_dir)}).invoke(alert, arguments, input="y\n")


def draft(settings: Settings) -> str:
    """Draft a warning to Zaruvi as the administrator; return its number."""
    return run(settings, *NEW, "--by", "Asha").stdout.split()[1]


def test_each_command_is_in_the_table() -> None:
    """A command that is not here has not been thought of."""
    assert set(alert.commands) == {"new", *DEEDS, *TELLS}


@pytest.mark.parametrize("who", ["Grace", "Juma"])
@pytest.mark.parametrize("deed", DEEDS)
def test_another_district_is_out_of_reach(deed: str, who: str, settings: Settings) -> None:
    """It is answered like a number that is not there, and the alert stays a draft."""
    number = draft(settings)
    results = [run(settings, deed, one, "--by", who) for one in (number, "99")]

    assert [OutOfReach, OutOfReach] == [type(one.exception) for one in results]
    assert str(results[0].exception) == str(results[1].exception)
    assert f"Alert {number} is a draft." in run(settings, "status", number).stdout


@pytest.mark.parametrize("deed", DEEDS)
def test_an_administrator_is_at_home_everywhere(deed: str, settings: Settings) -> None:
    """The same commands reach the alert in the administrator's name: the test above would see a leak."""
    result = run(settings, deed, draft(settings), "--by", "Asha")

    assert not isinstance(result.exception, OutOfReach)
    assert result.exception is None or isinstance(result.exception, Refused | IllegalMove)


@pytest.mark.parametrize("who", ["Grace", "Juma"])
def test_nobody_writes_to_another_district(who: str, settings: Settings) -> None:
    """Nor to one of their own together with it; nothing is kept."""
    for arguments in (NEW, (*NEW, "--district", "Ndaliro")):
        assert isinstance(run(settings, *arguments, "--by", who).exception, OutOfReach)
    house = build(settings)
    with house.database.look() as work:
        kept = work.alerts.lines(None, 9)
    house.close()

    assert () == kept


def test_a_disabled_officer_has_no_name_here(settings: Settings) -> None:
    """What is typed in the name of somebody who was disabled is refused with a sentence."""
    CliRunner(env={"TRUSSLINE_DATA_DIR": str(settings.data_dir)}).invoke(officer, ["disable", "Grace"])
    result = run(settings, *NEW, "--by", "Grace")

    assert "There is no officer 'Grace'" in str(result.exception)
