"""Weather from the terminal: a file looked at, kept, taken back; and what is known."""

from datetime import UTC, datetime
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

import click

from service.bootstrap import House
from service.cli.arguments import MOMENT
from service.cli.opening import open_house
from service.core.errors import Refused
from service.core.model import District
from service.core.weather_ports import Batch, ImportWay
from service.db.work import Work
from service.use_cases.weather.figures import Span, told
from service.use_cases.weather.overview import overview
from service.use_cases.weather.rows import Fault, Gathered, Origin
from service.use_cases.weather.sheets import FAULTS_SHOWN, decoded, read_sheet
from service.use_cases.weather.taking import Outcome, Sender, rehearse, take, take_back

_CHANGES_SHOWN: Final = 20
_BATCHES_SHOWN: Final = 20
_DISTRICT: Final = click.option("--district", required=True, metavar="NAME", help="Whose weather it is.")


@click.group()
def weather() -> None:
    """Take in the weather of a district, measured or forecast.

    Example: trussline weather import week.csv --district Ndaliro --apply
    """


@weather.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@_DISTRICT
@click.option("--forecast", is_flag=True, help="The file holds a forecast; without it, what was measured.")
@click.option("--issued", type=MOMENT, metavar="TIME", help="When it was issued, like 2026-03-25T06:00.")
@click.option("--apply", is_flag=True, help="Keep it; without it nothing is kept.")
def bring(*, file: Path, district: str, forecast: bool, issued: datetime | None, apply: bool) -> None:
    """Say what FILE would change and, with --apply, keep it.

    Its first line names the columns: day,tmin_c,tmax_c,rain_mm,wind_m_s,vapour_hpa,humidity_percent,radiation_mj_m2
    or hour,air_c,rain_mm,humidity_percent,wet_minutes. All but the first may be left out.

    Example: trussline weather import week.csv --district Ndaliro --apply
    """
    if forecast != (issued is not None):
        raise click.UsageError(
            "A forecast needs both --forecast and --issued; what was measured needs neither."
        )
    with open_house() as house:
        with house.database.look() as work:
            home = _district(work, district)
        now = house.service_clock.now()
        issued_at = issued.replace(tzinfo=ZoneInfo(home.zone)).astimezone(UTC) if issued else None
        if issued_at is not None and issued_at > now:
            raise Refused("The moment of issue is still to come: correct --issued.")
        gathered = read_sheet(
            decoded(file.read_bytes()), Origin(zone=home.zone, now=now, issued_at=issued_at)
        )
        _refuse(gathered.faults)
        sender = Sender(officer=None, way=ImportWay.COMMAND, file_name=file.name, at=now)
        _say(_kept(house, home, gathered, sender, apply=apply), kept=apply)


def _kept(house: House, home: District, gathered: Gathered, sender: Sender, *, apply: bool) -> Outcome:
    with house.database.work() as work:
        if apply:
            return take(work, house.tools, home, gathered, sender)
        return rehearse(work, home, gathered, sender)


def _refuse(faults: tuple[Fault, ...]) -> None:
    if faults:
        more = len(faults) - FAULTS_SHOWN
        lines = [str(fault) for fault in faults[:FAULTS_SHOWN]]
        raise Refused("\n".join([*lines, *([f"And {more} more."] if more > 0 else []), "Nothing was kept."]))


def _say(outcome: Outcome, *, kept: bool) -> None:
    for change in outcome.changes[:_CHANGES_SHOWN]:
        before = told(change.span, change.before) if change.before else "nothing"
        click.echo(f"  {change.when}: {before} -> {told(change.span, change.after)}")
    if len(outcome.changes) > _CHANGES_SHOWN:
        click.echo(f"  and {len(outcome.changes) - _CHANGES_SHOWN} more")
    click.echo(
        f"{outcome.lines} lines: {len(outcome.added)} add, {len(outcome.replaced)} replace, "
        f"{outcome.without_effect} change nothing."
    )
    click.echo(
        f"Kept as import {outcome.batch_id}. To take it back: trussline weather undo {outcome.batch_id}"
        if kept
        else "Nothing is kept yet: give --apply as well."
    )
    if outcome.dangers:
        click.echo(
            f"Dangers found: {outcome.dangers}. They wait on the page Today for the district's officers."
        )


@weather.command()
@click.argument("number", type=int)
def undo(number: int) -> None:
    """Take import NUMBER back whole; what it had replaced holds again.

    Example: trussline weather undo 12
    """
    with open_house() as house, house.database.work() as work:
        batch = take_back(work, house.tools, None, number, at=house.service_clock.now())
    click.echo(f"Import {batch.id} of {batch.district} is taken back: {batch.file_name}")


@weather.command()
@_DISTRICT
def show(district: str) -> None:
    """Show two weeks behind and one ahead, what is missing, and the imports.

    Example: trussline weather show --district Ndaliro
    """
    with open_house() as house, house.database.look() as work:
        home = _district(work, district)
        now = house.service_clock.now()
        seen = overview(work.weather, home, now.astimezone(ZoneInfo(home.zone)).date())
        batches = work.weather_batches.latest([home.id], _BATCHES_SHOWN)
    for on, day in seen.days:
        if day is not None:
            click.echo(f"{on}  {'measured' if day.observed else 'forecast'}  {told(Span.DAY, day)}")
    for gap in seen.gaps:
        click.echo(gap)
    for batch in batches:
        click.echo(_line(batch, ZoneInfo(home.zone)))


def _line(batch: Batch, zone: ZoneInfo) -> str:
    at = f"{batch.at.astimezone(zone):%Y-%m-%d %H:%M}"
    taken_back = "" if batch.undone_at is None else ", taken back"
    return f"Import {batch.id}: {batch.file_name}, {batch.rows} lines, {at}{taken_back}"


def _district(work: Work, name: str) -> District:
    found = next((one for one in work.people.districts() if one.name.casefold() == name.casefold()), None)
    if found is None:
        raise Refused(f"There is no district {name}: trussline district list shows those there are.")
    return found
