"""The command that measures."""

import json
import tempfile
from dataclasses import asdict
from pathlib import Path

import click

from scheduler.bench import RUNS, Figures, bench_plan
from service.agronomy.calendar import load_calendar


@click.group()
def bench() -> None:
    """Measure how fast the service is on this machine, as ratios to a floor timed in the same run."""


@bench.command("plan")
@click.option("--farmers", type=click.IntRange(min=1), default=100_000, show_default=True, help="How many.")
@click.option("--runs", type=click.IntRange(min=1), default=RUNS, show_default=True, help="How often.")
@click.option("--json", "as_json", is_flag=True, help="Print the figures as one JSON object.")
def bench_plan_command(farmers: int, runs: int, *, as_json: bool) -> None:
    """Plan one day on file databases with full durability, and time the bare inserts of the same rows.

    Nothing of yours is touched: the databases are made in a temporary folder and removed.

    Example: trussline bench plan --farmers 100000 --json
    """
    with tempfile.TemporaryDirectory(prefix="trussline-bench-") as folder:
        for step in bench_plan(farmers, load_calendar(), Path(folder), runs=runs):
            if isinstance(step, str):
                click.echo(step, err=True)
            else:
                _show(step, as_json=as_json)


def _show(figures: Figures, *, as_json: bool) -> None:
    values = asdict(figures)
    if as_json:
        click.echo(json.dumps(values))
        return
    for name, value in values.items():
        click.echo(f"{name:<16}{value:>14}")
