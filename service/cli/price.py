"""Prices of markets from the terminal: a list looked at and kept, and what farmers are told."""

from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

import click

from flows.money import Money
from service.bootstrap import House
from service.cli.opening import open_house
from service.core.errors import Refused
from service.core.model import District
from service.core.money_ports import NewPrice
from service.db.work import Work
from service.use_cases.money import PRICES_HOLD
from service.use_cases.price_sheets import take_sheet
from service.use_cases.pricing import Noter
from service.use_cases.weather.sheets import decoded

_SHOWN: Final = 50
_DISTRICT: Final = click.option("--district", required=True, metavar="NAME", help="Whose markets they are.")


@click.group()
def price() -> None:
    """Note what a kilo brings at the markets of a district.

    Example: trussline price import prices.csv --district Ndaliro --apply
    """


@price.command("import")
@click.argument("file", type=click.Path(exists=True, dir_okay=False, path_type=Path))
@_DISTRICT
@click.option("--sure", is_flag=True, help="Prices far from the last ones are right.")
@click.option("--apply", is_flag=True, help="Keep them; without it nothing is kept.")
def bring(*, file: Path, district: str, sure: bool, apply: bool) -> None:
    """Say what FILE adds and, with --apply, keep it.

    Its first line names the columns: market,class,price,day. The class may be left out.

    Example: trussline price import prices.csv --district Ndaliro --apply
    """
    text = decoded(file.read_bytes())
    with open_house() as house, house.database.work() as work:
        home = _district(work, district)
        found = take_sheet(work, house.tools, _noter(house, home), home, text, sure=sure, apply=apply)
    if found.faults:
        more = len(found.faults) - _SHOWN
        lines = [*found.faults[:_SHOWN], *([f"And {more} more."] if more > 0 else []), "Nothing was kept."]
        raise Refused("\n".join(lines))
    for one in found.added[:_SHOWN]:
        click.echo(f"  {_line(house, one)}")
    click.echo(f"{len(found.added) + found.known} lines: {len(found.added)} add, {found.known} are known.")
    click.echo("Kept." if apply else "Nothing is kept yet: give --apply as well.")


def _line(house: House, one: NewPrice) -> str:
    called = f"{one.market} {one.crop_class}".strip()
    return f"{one.quoted_on}  {called}: {Money(one.minor, house.tools.programme.currency)} a kilo"


@price.command()
@_DISTRICT
def show(district: str) -> None:
    """Show the prices that farmers of a district are told, the newest first.

    Example: trussline price show --district Ndaliro
    """
    with open_house() as house, house.database.look() as work:
        home, currency = _district(work, district), house.tools.programme.currency
        since = _noter(house, home).today - PRICES_HOLD
        quotes = work.prices.newest([home.id], currency.code, since)
    for one in quotes:
        called = f"{one.market} {one.crop_class}".strip()
        click.echo(f"{one.on}  {called}: {Money(one.minor, currency)} a kilo")
    if not quotes:
        click.echo(f"No price of the last {PRICES_HOLD.days} days is known: farmers who ask are told so.")


def _noter(house: House, home: District) -> Noter:
    now = house.service_clock.now()
    today = now.astimezone(ZoneInfo(home.zone)).date()
    return Noter(officer=None, today=today, now=now, real_now=house.real_clock.now())


def _district(work: Work, name: str) -> District:
    found = next((one for one in work.people.districts() if one.name.casefold() == name.casefold()), None)
    if found is None:
        raise Refused(f"There is no district {name}: trussline district list shows those there are.")
    return found
