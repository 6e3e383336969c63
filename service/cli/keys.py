"""The recovery sheet."""

import click

from service.core.errors import Refused
from service.keys import recovery_sheet
from service.settings import load_settings


@click.command()
def keys() -> None:
    """Print the recovery sheet: the keys without which no number can be read.

    Example: trussline keys | lp
    """
    file = load_settings().keys
    if not file.exists():
        raise Refused(f"There is no key file at {file} yet: trussline migrate makes it.")
    click.echo(recovery_sheet(file))
