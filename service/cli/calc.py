"""The calculators at a terminal, for whoever wants to see how a figure comes about or to use one in a program."""

from typing import Final

import click

from service.cli.calc_water import water

# One row for each calculator. Its command takes figures with their units in the help, needs no database and no
# settings, and prints one JSON object with --json.
_CALCULATORS: Final = (water,)


@click.group(commands={command.name or "": command for command in _CALCULATORS})
def calc() -> None:
    """Compute what the service computes, from figures given here. Needs no database.

    Example: trussline calc water --lat -3.4 --elevation 1650 --date 2026-11-25 --tmin 12 --tmax 24
    """
