"""What another crop calendar would change, told before it is put in force."""

from collections.abc import Iterator
from pathlib import Path

import click

from service.agronomy.calendar import DEFAULT_CALENDAR, Calendar, load_calendar, load_for_place
from service.agronomy.calendar_compare import Difference, Standing, compare, compare_rest
from service.agronomy.due import DayColumn
from service.bootstrap import House
from service.cli.opening import open_house
from service.clock import local_day
from service.core.errors import Refused
from service.db.queries.planning import KIND
from service.use_cases.districts import find_districts
from service.use_cases.tools import place_word


def show_differences(path: Path, district: str | None) -> None:
    """Say which jobs differ between the calendar in force and the one at `path`, and for how many plots.

    With a district it is what differs there, and for the plots there.

    Raises:
        CalendarError: the file makes no sense.
        Refused: plots would not be planned with it, or there is no such district.
    """
    with open_house() as house:
        lines = _everywhere(house, path) if district is None else _in_district(house, path, district)
        for line in lines:
            click.echo(line)


def _in_district(house: House, path: Path, name: str) -> Iterator[str]:
    with house.database.look() as work:
        (district,) = find_districts(work.people.districts(), [name])
        today = local_day(house.service_clock.now(), district.zone)
        ages = work.planning.ages_in(district.id, today)
    programme = house.settings.calendar_file or DEFAULT_CALENDAR
    other = load_for_place(path, programme, place_word(district.name))
    standing = tuple(Standing(age=age, traits=traits, plots=plots) for age, traits, plots in ages)
    before = house.tools.calendar_in(district.name)
    force = f"Put the file into the folder of the setting calendars_dir as {district.name}.toml"
    yield from _lines(before, other, path, standing, force)


def _everywhere(house: House, path: Path) -> Iterator[str]:
    other = load_calendar(path)
    if other.id != house.calendar.id:
        raise Refused(
            f"The calendar in {path.name} has the id {other.id}, but plots are planned by {house.calendar.id}: "
            "give it that id."
        )
    yield from _lines(house.calendar, other, path, tuple(_standing(house)), "Set calendar_file to the file")
    if house.tools.in_places:
        yield f"Not counted: the plots of districts with days of their own, {', '.join(house.tools.in_places)}."


def _standing(house: House) -> Iterator[Standing]:
    """Count the live plots by age and kind."""
    with house.database.look() as work:
        for zone, calendar_id in work.planning.zones():
            if calendar_id != house.calendar.id:
                continue
            today = local_day(house.service_clock.now(), zone)
            for planted_on, kinds in work.planning.counts(zone, calendar_id, today).items():
                age = (today - planted_on).days
                for kind in kinds:
                    yield Standing(age=age, traits=kind[KIND], plots=kind[DayColumn.ANY_DAY])


def _lines(
    before: Calendar, after: Calendar, path: Path, standing: tuple[Standing, ...], force: str
) -> Iterator[str]:
    plots = sum(stand.plots for stand in standing)
    yield f"{before.id} {before.edition} in force, {after.edition} with {path.name}; {_plots(plots)} planned by it."
    rest, found = compare_rest(before, after), compare(before, after, standing)
    for name, was, will in rest:
        yield f"{name}: {was} -> {will}"
    for one in found:
        yield from _job(one)
    if not rest and not found:
        yield "No job differs."
        return
    if after.id == before.id and after.edition == before.edition:
        yield f"Raise the version in {path.name} first: {before.edition} is in force with other figures."
    yield f"Nothing has changed yet. {force} and start the service again to put it in force."


def _job(one: Difference) -> Iterator[str]:
    whole = "a new job" if one.is_new else "left out" if one.is_gone else ""
    figures = "; ".join(f"{name} {was} -> {will}" for name, was, will in one.figures)
    yield f"{one.task}: {whole or figures or 'other entries for some plots'}"
    yield f"  on other days from tomorrow on: {_plots(one.moved)}"
    if one.missed:
        yield f"  may never be told, as the new day is here or past: {_plots(one.missed)}; tell their farmers yourself"
    if one.told:
        yield f"  told already and not told again: {_plots(one.told)}"


def _plots(count: int) -> str:
    return "1 plot" if count == 1 else f"{count:,} plots"
