"""The recovery sheet."""

import click

from service.bootstrap import House
from service.cli.opening import open_unready
from service.core.errors import Refused, SettingError
from service.keys import recovery_sheet
from service.use_cases.recovery_sheet import keep_sheet_shown


@click.command()
def keys() -> None:
    """Print the recovery sheet: the keys without which no number can be read.

    Keys that are not those of the database that is there are refused: their sheet would be of no use.

    Example: trussline keys | lp
    """
    with open_unready() as house:
        compared = _belong_to_the_database(house)
        click.echo(recovery_sheet(house.settings.keys))
        if compared:
            with house.database.work() as work:
                keep_sheet_shown(work, house.real_clock.now())
        else:
            click.echo(
                "No database was there to compare these keys with: nobody can say what they open.", err=True
            )


def _belong_to_the_database(house: House) -> bool:
    """Return whether the keys are those of the database; False where none can be asked.

    Raises:
        KeyFileError: they are others.
    """
    try:
        house.check_database()
    except (Refused, SettingError):
        return False
    return True
