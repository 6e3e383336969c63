"""Alerts from the terminal: written, sent, watched and called off."""

import json
import tomllib
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from sqlalchemy import insert

from flows.facts import FarmerState
from scheduler.alerting import advance_alerts
from service.bootstrap import build
from service.cli.alert import alert
from service.clock import RealClock
from service.core.errors import Refused
from service.core.phone import read_number
from service.db.migrate import migrate
from service.db.tables.staff import officer
from service.settings import Settings, given_settings
from service.use_cases.districts import add_district

NEW = ("new", "--by", "Asha Mlima", "--district", "Ndaliro")
# Of a night whose evening is still to come, whenever this runs.
TOMORROW = f"{RealClock().now() + timedelta(days=1):%Y-%m-%d}"
FROST = (*NEW, "--template", "frost", "--figure", "-1", "--date", TOMORROW)


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """A programme with one district, one administrator and one farmer who reads English."""
    given = given_settings(data_dir=tmp_path / "data", alert_wait_seconds=0)
    house = build(given)
    house.ready_database()
    now = house.service_clock.now()
    with house.database.work() as work:
        add_district(work, name="Ndaliro", zone=given.zone, elevation_m=2150)
    with house.database.engine.begin() as connection:
        connection.execute(
            insert(officer), {"id": 1, "name": "Asha Mlima", "role": "administrator", "added_at": now}
        )
    with house.database.work() as work:
        district = work.people.districts()[0]
        work.people.add_farmer(
            id=1,
            name="Neema",
            language="en",
            district_id=district.id,
            state=FarmerState.ACTIVE,
            now=now,
            pending_until=None,
        )
        phone = work.people.phone_for(read_number("+255621234567", "TZ"), now)
        work.people.link_phone(1, phone, role="own", preferred=True, now=now)
        work.commit()
    migrate(house.database.engine)
    house.close()
    return given


def run(settings: Settings, *arguments: str, typed: str = "") -> Result:
    """Type a command of `trussline alert`."""
    given = {"TRUSSLINE_DATA_DIR": str(settings.data_dir), "TRUSSLINE_ALERT_WAIT_SECONDS": "0"}
    return CliRunner(env=given).invoke(alert, arguments, input=typed)


def told(settings: Settings, *arguments: str) -> dict[str, Any]:
    """Return what a command prints for a script."""
    result = run(settings, *arguments, "--json")
    assert 0 == result.exit_code, result.output
    found: dict[str, Any] = json.loads(result.stdout)
    return found


def test_from_draft_to_report(settings: Settings) -> None:
    """Written, sent, watched, called off; each figure is where the report says it is."""
    draft = told(settings, *FROST)
    number = str(draft["alert"])
    sent = told(settings, "send", number, "--by", "asha mlima")
    house = build(settings)
    advance_alerts(house.database, house.tools, house.service_clock.now() + timedelta(seconds=1))
    house.close()
    sending = told(settings, "status", number)
    told(settings, "pause", number, "--by", "Asha Mlima")
    told(settings, "resume", number, "--by", "Asha Mlima")
    report = told(settings, "call-off", number, "--by", "Asha Mlima")

    assert ("draft", 1, 1, False) == tuple(
        draft[key] for key in ("state", "phones", "parts", "second_person")
    )
    assert "scheduled" == sent["state"]
    assert ("sending", 1, 1) == tuple(sending[key] for key in ("state", "audience", "waiting"))
    assert ("called_off", 1, 0) == tuple(report[key] for key in ("state", "cancelled", "waiting"))


def test_in_words(settings: Settings) -> None:
    """A person reads the text, what it costs, what to type next, and the sums."""
    draft = run(settings, *FROST).stdout
    number = draft.split()[1]
    report = run(settings, "report", number).stdout

    assert "en, 1 part(s): Asha Mlima (Ndaliro): cold likely from" in draft
    assert f"trussline alert send {number} --by NAME" in draft
    assert f"Alert {number} is a draft." in report


def test_an_order_given_twice_makes_one_alert(settings: Settings) -> None:
    """A key names the order: a script that tries again does no harm."""
    first, second = (told(settings, *FROST, "--key", "night-1")["alert"] for _ in range(2))

    assert first == second


def test_own_words_at_an_hour(settings: Settings) -> None:
    """Words of the officer's own, for whoever reads them, at a local time."""
    tomorrow = build(settings).service_clock.now() + timedelta(days=1)
    draft = told(
        settings,
        *NEW,
        "--text",
        "en=The meeting is on Friday.",
        "--at",
        f"{tomorrow:%Y-%m-%dT%H:%M}",
        "--language",
        "en",
    )

    assert ["en"] == list(draft["texts"])


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (
            ("new", "--by", "Nobody", "--district", "Ndaliro", "--template", "frost"),
            "There is no officer 'Nobody'",
        ),
        (
            ("new", "--by", "Asha Mlima", "--district", "Nowhere", "--template", "frost"),
            "no district Nowhere",
        ),
        ((*NEW, "--template", "frost"), "needs its day and its figure"),
        ((*NEW, "--text", "en=Burn tyres tonight."), "may not say"),
        (("status", "7"), "There is no alert 7."),
        (("send", "7", "--by", "Asha Mlima"), "There is no such alert"),
    ],
    ids=["no officer", "no district", "no figure", "fire", "no alert", "nothing to send"],
)
def test_a_refusal_is_a_sentence(settings: Settings, arguments: tuple[str, ...], sentence: str) -> None:
    """What may not be done is told, and nothing is kept."""
    result = run(settings, *arguments)

    assert isinstance(result.exception, Refused)
    assert sentence in str(result.exception)


@pytest.mark.parametrize(
    "arguments",
    [(*NEW, "--text", "Friday"), (*NEW, "--text", "fr=Vendredi"), (*FROST, "--at", "soon")],
    ids=["no language", "not ours", "no time"],
)
def test_a_slip_is_told_with_what_to_write(settings: Settings, arguments: tuple[str, ...]) -> None:
    """The terminal answers a wrong argument as it does everywhere."""
    result = run(settings, *arguments)

    assert 2 == result.exit_code
    assert "write" in result.output


def test_who_approves_reads_the_texts_first(settings: Settings) -> None:
    """The texts are shown before the question; a no approves nothing."""
    number = str(told(settings, *FROST)["alert"])

    result = run(settings, "approve", number, "--by", "Asha Mlima", typed="n\n")

    assert 1 == result.exit_code
    assert "cold likely from" in result.output


def test_it_is_a_command_of_the_service() -> None:
    """The project names it among the commands of trussline."""
    project = tomllib.loads((Path(__file__).parents[3] / "pyproject.toml").read_text(encoding="utf-8"))

    assert "service.cli.alert:alert" == project["project"]["entry-points"]["trussline.commands"]["alert"]
