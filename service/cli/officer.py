"""The people who may open the pages."""

import click

from service.cli.opening import open_house
from service.ids import one_time_code
from service.use_cases.officers import CODE_LIFE, add_officer


@click.group()
def officer() -> None:
    """Let people open the pages.

    Example: trussline officer add "Grace in Ndaliro"
    """


@officer.command()
@click.argument("name")
def add(name: str) -> None:
    """Add an officer, or give one of that NAME a new login.

    Prints a one-time code to type on the sign-in page. It is shown this once and kept nowhere.

    Example: trussline officer add "Grace in Ndaliro"
    """
    code = one_time_code()
    with open_house() as house, house.database.work() as work:
        added = add_officer(work, name=name, code=code, now=house.real_clock.now())
    hours = round(CODE_LIFE.total_seconds() / 3600)
    click.echo(f"One-time code for {added.name}, good once within {hours} hours: {code}")
