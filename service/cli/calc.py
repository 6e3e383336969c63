"""The calculators at a terminal, for whoever wants to see how a figure comes about or to use one in a program."""

from typing import Final

import click

from service.cli.calculators.cooling import COOLING
from service.cli.calculators.gaps import GAPS
from service.cli.calculators.margin import MARGIN
from service.cli.calculators.risk import RISK
from service.cli.calculators.stand import STAND
from service.cli.calculators.water import WATER
from service.cli.calculators.yields import YIELD

CALCULATORS: Final = (STAND, GAPS, WATER, RISK, YIELD, MARGIN, COOLING)


@click.group(commands={calculator.name: calculator.command() for calculator in CALCULATORS})
def calc() -> None:
    """Compute what the service computes, from figures given here. Needs no database.

    Example: trussline calc water --lat -3.4 --elevation 1650 --date 2026-11-25 --tmin 12 --tmax 24
    """
