"""The checklist before, and while, farmers are texted."""

import json
from collections.abc import Iterable
from dataclasses import asdict

import click

from service.cli.opening import open_house
from service.readiness import clock_in_step, gather
from service.use_cases.readiness import Point, checklist


@click.command()
@click.option("--json", "as_json", is_flag=True, help="For programs: one JSON object.")
def ready(*, as_json: bool) -> None:
    """Go through all that should hold before farmers are texted; what does not hold says what to do.

    The exit code is 0 only if all of it holds.

    Example: trussline ready
    """
    with open_house() as house:
        points = checklist(gather(house, in_step=clock_in_step()))
    all_hold = all(point.holds for point in points)
    if as_json:
        click.echo(json.dumps({"ready": all_hold, "points": [asdict(point) for point in points]}))
    else:
        click.echo(_words(points))
    raise SystemExit(0 if all_hold else 1)


def _words(points: Iterable[Point]) -> str:
    lines = []
    for point in points:
        lines.append(f"{'yes' if point.holds else 'NO ':<4} {point.name}: {point.found}")
        if not point.holds:
            lines.append(f"      {point.to_do}")
    open_points = sum(line.startswith("NO") for line in lines)
    said = "Ready." if not open_points else f"Not ready: {open_points} to see to."
    return "\n".join([*lines, said])
