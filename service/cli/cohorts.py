"""Is it working, at a terminal: what the page of that name shows."""

import json
from collections.abc import Iterator
from datetime import timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

import click

from service.cli.opening import open_house
from service.clock import local_day
from service.core.cohorts import Bearing, By, Cohort
from service.core.comparing import Comparison
from service.core.comparing_means import MeanComparison
from service.use_cases.cohorts import Worth, look
from service.use_cases.cohorts_told import of_lot, of_wordings

_DAYS: Final = 28


@click.command()
@click.option(
    "--by",
    "by",
    type=click.Choice([one.value for one in By]),
    default=By.PLANTED.value,
    show_default=True,
    help="What puts farmers together.",
)
@click.option(
    "--days",
    type=click.IntRange(7, 366),
    default=_DAYS,
    show_default=True,
    help="So many days that are over.",
)
@click.option("--json", "as_json", is_flag=True, help="For programs: one JSON object.")
def cohorts(by: str, days: int, *, as_json: bool) -> None:
    """Say whether it works: jobs asked and done, weights told and stops, of farmers who began alike.

    Farmers are put together by the month their first plot was planted in, by the month they joined in, or by district.

    Example: trussline cohorts --by joined --days 91
    """
    with open_house() as house, house.database.look() as work:
        zone = house.settings.zone
        last = local_day(house.service_clock.now(), zone) - timedelta(days=1)
        found = look(
            work,
            house.calendar,
            By(by),
            first=last - timedelta(days=days - 1),
            last=last,
            districts=None,
            zone=ZoneInfo(zone),
        )
    click.echo(json.dumps(_plain(found)) if as_json else "\n".join(_told(found)))


def _told(found: Worth) -> Iterator[str]:
    yield f"{found.first} to {found.last}. Who is held out of advice stands in no line of the table."
    yield (
        f"{'cohort':<12}{'asked':>8}{'done':>8}{'in 7 days':>11}{'usual days':>12}{'told a weight':>15}"
        f"{'kg a plant':>12}{'plots':>7}{'stops/1,000':>13}"
    )
    yield from map(_line, found.cohorts)
    if found.by_lot:
        yield from ("", *of_lot(found.by_lot))
    for tried in found.wordings:
        yield from ("", *of_wordings(tried))


def _line(one: Cohort) -> str:
    told = one.bearing
    return (
        f"{one.name:<12}{one.asked:>8,}{one.done:>8,}{one.in_a_week:>11,}{_or_dash(one.usual_days, 'd'):>12}"
        f"{f'{told.told:,} of {told.farmers:,}':>15}{_or_dash(told.kg_a_plant, '.3f'):>12}{told.plots_told:>7,}"
        f"{_or_dash(one.stops_a_thousand, '.1f'):>13}"
    )


def _or_dash(value: float | None, form: str) -> str:
    return "-" if value is None else format(value, form)


def _plain(found: Worth) -> dict[str, Any]:
    lot = found.by_lot
    held_out = lot and {
        "percent": lot.experiment.percent,
        "since": lot.experiment.began_on.isoformat(),
        "texted": _bearing(lot.texted),
        "held_out": _bearing(lot.held_out),
        "told_a_weight": _compared(lot.told),
        "kg_a_plant_of_farmers": _means(lot.kilos),
    }
    return {
        "from": found.first.isoformat(),
        "to": found.last.isoformat(),
        "cohorts": [_cohort(one) for one in found.cohorts],
        "held_out": held_out,
        "wordings": [
            {
                "experiment": one.experiment.id,
                "wording": one.experiment.topic,
                "over": one.over,
                "done_in_7_days": _compared(one.done),
                "needed_in_each": one.needed,
            }
            for one in found.wordings
        ],
    }


def _cohort(one: Cohort) -> dict[str, Any]:
    return {
        "cohort": one.name,
        "asked": one.asked,
        "done": one.done,
        "done_in_7_days": one.in_a_week,
        "usual_days": one.usual_days,
        "texts": one.texts,
        "stops": one.stops,
        **_bearing(one.bearing),
    }


def _bearing(one: Bearing) -> dict[str, Any]:
    return {
        "farmers_bearing": one.farmers,
        "farmers_who_told": one.told,
        "plots_told": one.plots_told,
        "kg_a_plant": one.kg_a_plant,
        "kg_a_plant_at_least": one.kg_at_least,
    }


def _means(one: MeanComparison) -> dict[str, Any]:
    found = one.difference
    return {
        "texted": [one.second.of, one.second.mean],
        "held_out": [one.first.of, one.first.mean],
        "difference": None if found is None else found.value,
        "interval_95": None if found is None else [found.low, found.high],
        "finding": one.finding,
    }


def _compared(one: Comparison) -> dict[str, Any]:
    found = one.difference
    return {
        "first": [one.first.count, one.first.of],
        "second": [one.second.count, one.second.of],
        "difference": None if found is None else found.value,
        "interval_95": None if found is None else [found.low, found.high],
        "finding": one.finding,
    }
