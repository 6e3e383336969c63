"""The people who may open the pages."""

from collections.abc import Callable
from typing import Any, Final, TypeVar

import click

from flows.wording import of_officer
from service.bootstrap import House
from service.cli.opening import open_house
from service.cli.strange_letters import as_written, refuse_strange_letters
from service.core.errors import Refused
from service.core.phone import BadNumber, PhoneNumber, read_number
from service.core.rights import EVERYWHERE, Role
from service.core.staff import Officer
from service.db.work import Work
from service.ids import one_time_code
from service.use_cases.districts import find_districts
from service.use_cases.officers import (
    CODE_LIFE,
    add_officer,
    change_officer,
    disable_officer,
    give_phone,
    reset_officer,
)

Command = TypeVar("Command", bound=Callable[..., Any])

_ROLES: Final = click.Choice([role.value for role in Role])


@click.group()
def officer() -> None:
    """Let people open the pages, each for their own districts.

    Example: trussline officer add "Grace in Ndaliro" --district Ndaliro
    """


def _where(command: Command) -> Command:
    """Give a command the options that say what an officer may do and where."""
    command = click.option(
        "--district", "districts", multiple=True, metavar="NAME", help="Theirs; can be given several times."
    )(command)
    return click.option("--role", type=_ROLES, help="An approver is the second person for alerts.")(command)


@officer.command()
@click.argument("name")
@_where
@click.option("--phone", metavar="NUMBER", help="Their own: some things can be done by text from it.")
@as_written
def add(
    name: str, role: str | None, districts: tuple[str, ...], phone: str | None, *, as_written: bool
) -> None:
    """Add an officer, or give one of that NAME a new login.

    The first person of all is made administrator, who sees all districts; everybody after them needs a district.

    Prints a one-time code to type on the sign-in page, where a password is set with it. It is shown this once and
    kept nowhere.

    Example: trussline officer add "Grace in Ndaliro" --district Ndaliro --phone "0621 234 567"
    """
    refuse_strange_letters(name, of_officer, as_written=as_written)
    code = one_time_code()
    with open_house() as house, house.database.work() as work:
        number = _number(house, phone) if phone else None
        theirs = _districts(work, districts)
        _needs_a_district(work, name, role, theirs)
        now = house.real_clock.now()
        added = add_officer(
            work, name=name, code=code, now=now, role=Role(role) if role else None, districts=theirs
        )
        if number:
            give_phone(work, added.name, work.people.phone_for(number, now), now=now)
        told = _told(work, added)
    click.echo(told)
    _tell_code(added, code)


@officer.command("list")
def show() -> None:
    """List who there is, what they may do and where.

    Example: trussline officer list
    """
    with open_house() as house, house.database.look() as work:
        for one, disabled_at in work.staff.everybody():
            gone = f", disabled since {disabled_at:%Y-%m-%d}" if disabled_at else ""
            click.echo(f"{one.name}: {one.role}, {_where_they_are(work, one)}{gone}")


@officer.command()
@click.argument("name")
@_where
def change(name: str, role: str | None, districts: tuple[str, ...]) -> None:
    """Give the officer NAME another role or other districts, and end their sessions.

    The districts named take the place of those there were.

    Example: trussline officer change "Grace in Ndaliro" --role approver --district Ndaliro --district Zaruvi
    """
    with open_house() as house, house.database.work() as work:
        changed = change_officer(
            work,
            name,
            now=house.real_clock.now(),
            role=Role(role) if role else None,
            districts=_districts(work, districts) if districts else None,
        )
        told = _told(work, changed)
    click.echo(told)


@officer.command()
@click.argument("name")
def disable(name: str) -> None:
    """Shut the officer NAME out at once.

    Example: trussline officer disable "Grace in Ndaliro"
    """
    with open_house() as house, house.database.work() as work:
        gone = disable_officer(work, name, now=house.real_clock.now())
    click.echo(f"{gone.name} is disabled; trussline officer reset lets them in again.")


@officer.command()
@click.argument("name")
def reset(name: str) -> None:
    """Give the officer NAME a new way in: password and second factor go, a one-time code is printed.

    See to it that it is really them who asks: by their voice or face, never by a text.

    Example: trussline officer reset "Grace in Ndaliro"
    """
    code = one_time_code()
    with open_house() as house, house.database.work() as work:
        found = reset_officer(work, name, code=code, now=house.real_clock.now())
    _tell_code(found, code)


def _tell_code(officer: Officer, code: str) -> None:
    hours = round(CODE_LIFE.total_seconds() / 3600)
    click.echo(f"One-time code for {officer.name}, good once within {hours} hours: {code}")


def _told(work: Work, officer: Officer) -> str:
    return f"{officer.name} is {officer.role}, {_where_they_are(work, officer)}."


def _where_they_are(work: Work, officer: Officer) -> str:
    """Return an officer's districts by name."""
    if officer.districts is None:
        return "all districts"
    theirs = [one.name for one in work.people.districts() if one.id in officer.districts]
    return ", ".join(theirs) or "no district"


def _districts(work: Work, names: tuple[str, ...]) -> frozenset[int]:
    return frozenset(one.id for one in find_districts(work.people.districts(), names))


def _needs_a_district(work: Work, name: str, role: str | None, districts: frozenset[int]) -> None:
    first_of_all = not work.staff.officers()
    there_already = work.staff.officer(" ".join(name.split())) is not None
    everywhere = first_of_all if role is None else Role(role) in EVERYWHERE
    if name.strip() and not (there_already or everywhere or districts):
        raise Refused("Say for which district: --district NAME, or --role administrator for all of them.")


def _number(house: House, typed: str) -> PhoneNumber:
    try:
        return read_number(typed, house.settings.region)
    except BadNumber as error:
        raise click.BadParameter(str(error), param_hint="--phone") from error
