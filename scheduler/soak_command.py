"""The command that soaks: sends under kills, and says whether the books still tell the truth."""

import json
import sys
import tempfile
from dataclasses import asdict
from pathlib import Path
from typing import Final

import click

from scheduler.soak import Figures, soak_alert
from scheduler.soak_programme import MOST_FARMERS
from service import ids

_SEED_BYTES: Final = 4


@click.group()
def soak() -> None:
    """Send while the sending process is killed, and hold the books against what really arrived."""


@soak.command("alert")
@click.option(
    "--farmers", type=click.IntRange(4, MOST_FARMERS), default=1000, show_default=True, help="How many."
)
@click.option("--kills", type=click.IntRange(0), default=50, show_default=True, help="How often.")
@click.option("--seed", type=click.IntRange(0), help="What all luck is drawn from. Default: a fresh one.")
@click.option("--json", "as_json", is_flag=True, help="Print the figures as one JSON object.")
def soak_alert_command(farmers: int, kills: int, seed: int | None, *, as_json: bool) -> None:
    """Send an alert to invented farmers, kill its sender again and again, and count.

    Whether the alert is urgent, for one district or both, and called off near the end is drawn. Nothing of
    yours is touched and no phone is reached: programme and other side live in a temporary folder. Ends with
    exit code 1 if a figure is not borne out by the other side's own journal.

    Example: trussline soak alert --farmers 1000 --kills 50 --json
    """
    drawn = int.from_bytes(ids.key()[:_SEED_BYTES]) if seed is None else seed
    click.echo(f"seed {drawn}", err=True)
    with tempfile.TemporaryDirectory(prefix="trussline-soak-") as folder:
        figures = soak_alert(farmers, kills, drawn, Path(folder))
    _show(figures, as_json=as_json)
    sys.exit(1 if figures.mistakes else 0)


def _show(figures: Figures, *, as_json: bool) -> None:
    values = asdict(figures)
    if as_json:
        click.echo(json.dumps(values))
        return
    for mistake in values.pop("mistakes"):
        click.echo(mistake, err=True)
    for name, value in values.items():
        click.echo(f"{name:<16}{value!s:>18}")
