"""Experiments: who is held out of advice, and which of two wordings is followed more often."""

from datetime import datetime
from typing import Final

import click

from flows.second_wordings import SECOND_WORDINGS
from service.cli.opening import open_house
from service.clock import local_day
from service.core.comparing import needed_in_each
from service.core.experiments import NO_ADVICE, Experiment
from service.use_cases.experimenting import MOST_HELD_OUT, end_early, hold_out, try_wordings

_PERCENT: Final = 100


@click.group()
def experiment() -> None:
    """Find out whether texts help: hold some farmers out of advice, or try two wordings of a text.

    Example: trussline experiment show
    """


@experiment.command("hold-out")
@click.argument("percent", type=click.IntRange(1, MOST_HELD_OUT))
@click.option("--yes", is_flag=True, help="Do not ask.")
def hold(percent: int, *, yes: bool) -> None:
    """Hold PERCENT of a hundred farmers who join from today out of advice texts, for ever.

    They still get warnings, the end of a wait after a spray, first aid and an answer to all they text, also their jobs
    when they ask. It can be set once and not be changed or ended.

    Example: trussline experiment hold-out 5
    """
    if not yes:
        click.confirm(f"Hold {percent} of a hundred new farmers out of advice, for ever?", abort=True)
    with open_house() as house, house.database.work() as work:
        now = house.service_clock.now()
        begun = hold_out(work, house.tools, percent, on=local_day(now, house.settings.zone))
    click.echo(_told(begun))


@experiment.command("try")
@click.argument("wording", type=click.Choice(list(SECOND_WORDINGS)))
@click.option(
    "--until", required=True, type=click.DateTime(["%Y-%m-%d"]), metavar="DAY", help="The last day."
)
def try_wording(wording: str, until: datetime) -> None:
    """Text half of the farmers the second WORDING of a text, in what is written from now on until a day.

    Example: trussline experiment try week --until 2027-01-31
    """
    with open_house() as house, house.database.work() as work:
        now = house.service_clock.now()
        on = local_day(now, house.settings.zone)
        begun = try_wordings(work, house.tools, wording, on=on, until=until.date())
    click.echo(_told(begun))


@experiment.command()
@click.argument("number", type=int)
def end(number: int) -> None:
    """End the trial of a wording before its day: everybody then gets the first wording again.

    Example: trussline experiment end 2
    """
    with open_house() as house, house.database.work() as work:
        now = house.service_clock.now()
        ended = end_early(work, number, on=local_day(now, house.settings.zone))
    click.echo(f"Ended: experiment {ended.id}. What it has found stays on trussline cohorts.")


@experiment.command()
def show() -> None:
    """List all experiments there were.

    Example: trussline experiment show
    """
    with open_house() as house, house.database.look() as work:
        found = work.experiments.every()
    click.echo("\n".join(map(_told, found)) or "There was no experiment yet.")


@experiment.command()
@click.option(
    "--from", "base", required=True, type=click.IntRange(1, 99), metavar="PERCENT", help="The share now."
)
@click.option(
    "--by", "change", required=True, type=click.IntRange(-98, 98), metavar="POINTS", help="Its change."
)
def size(base: int, change: int) -> None:
    """Say how many farmers each of two groups needs for a change of a share to be seen.

    Seen in 8 of 10 such experiments, and taken for one by chance in 1 of 20.

    Example: trussline experiment size --from 40 --by 10
    """
    needed = needed_in_each(base / _PERCENT, change / _PERCENT)
    click.echo(f"From {base} to {base + change} percent: {needed:,} farmers in each of the two groups.")


def _told(one: Experiment) -> str:
    if one.topic == NO_ADVICE:
        return f"{one.id}. Of a hundred farmers who join from {one.began_on} on, {one.percent} are held out of advice."
    return f"{one.id}. Half of the farmers get the second wording of {one.topic}, {one.began_on} to {one.ends_on}."
