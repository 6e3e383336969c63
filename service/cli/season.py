"""The crop calendar of one stand of plants."""

from datetime import date, timedelta
from pathlib import Path

import click

from flows.catalogue import load_catalogue
from service.agronomy.due import Due, PlotDays, season
from service.agronomy.traits import UNTOLD
from service.bootstrap import gather_tools
from service.cli.arguments import DAY, WEEKDAY
from service.cli.season_compare import show_differences
from service.core.model import Reminder, ReminderKey, ReminderState
from service.ids import Ids
from service.settings import load_settings
from service.use_cases.planting import day_columns, default_days, weekdays_of
from service.use_cases.wording_jobs import label

_YEAR = timedelta(days=365)
# No job of any calendar lies further before planting than a year.
_BEFORE = timedelta(days=365)


@click.command("calendar")
@click.argument("planted_on", type=DAY, metavar="PLANTING_DATE", required=False)
@click.option(
    "--text-day",
    type=WEEKDAY,
    metavar="DAY",
    help="Weekday of the weekly jobs, like mon. Default: that of planting.",
)
@click.option(
    "--pick-day",
    "pick_days",
    type=WEEKDAY,
    multiple=True,
    metavar="DAY",
    help="A day fruit is picked on; may be repeated. Default: the text day and three days later.",
)
@click.option(
    "--language", type=click.Choice(["en", "sw"]), help="Of the jobs. Default: that of the settings."
)
@click.option("--from", "first", type=DAY, metavar="DATE", help="First day to show. Default: the first job.")
@click.option(
    "--to", "last", type=DAY, metavar="DATE", help="Last day to show. Default: a year after planting."
)
@click.option(
    "--compare",
    "other",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Show instead what this calendar, or file of what differs, would change for the plots there are.",
)
@click.option(
    "--district", metavar="NAME", help="By the days of this district. Default: those of the programme."
)
def show_season(
    *,
    planted_on: date | None,
    text_day: int | None,
    pick_days: tuple[int, ...],
    language: str | None,
    first: date | None,
    last: date | None,
    other: Path | None,
    district: str | None,
) -> None:
    """Show which jobs fall due, and when, for plants set out on PLANTING_DATE.

    Needs no database. Each line is a day, how many days after planting it lies, and a job. With --compare FILE it shows
    instead what would change if FILE were put in force, and for how many plots; that asks the database, and changes
    nothing.

    Example: trussline calendar 2026-03-25 --text-day mon --to 2026-06-30
    """
    if other is not None:
        show_differences(other, district)
        return
    if planted_on is None:
        raise click.UsageError("Give a planting date, like 2026-03-25, or a file with --compare.")
    settings = load_settings()
    tools = gather_tools(settings, load_catalogue(default=settings.language), Ids())
    if district is not None:
        tools = tools.with_calendar(tools.calendar_in(district).id)
    plot = _plot_days(planted_on, text_day, pick_days)
    for due in season(tools.calendar, plot, first or planted_on - _BEFORE, last or planted_on + _YEAR):
        words = tools.wording.write(
            label(tools, _reminder(due, planted_on), due.due_on), language or settings.language
        )
        age = (due.due_on - planted_on).days
        click.echo(f"{due.due_on.isoformat()} {due.due_on:%a}  day {age:>4}  {words}")


def _plot_days(planted_on: date, text_day: int | None, pick_days: tuple[int, ...]) -> PlotDays:
    columns = default_days(planted_on if text_day is None else _day_on(planted_on, text_day))
    if pick_days:
        columns = day_columns(columns["text_day"], frozenset(pick_days))
    return PlotDays(
        planted_on=planted_on,
        text_day=columns["text_day"],
        picking_text_day=columns["picking_text_day"],
        prompt_days=weekdays_of(columns["prompt_days"]),
    )


def _day_on(day: date, weekday: int) -> date:
    """Return the first day from `day` on that falls on `weekday`."""
    return day + timedelta(days=(weekday - day.weekday()) % 7)


def _reminder(due: Due, planted_on: date) -> Reminder:
    """Return an occurrence as a reminder that stands in no list yet: the wording is asked for with one."""
    return Reminder(
        key=ReminderKey(due_on=due.due_on, task=due.task.id, plot_id=0, revision=0),
        ordinal=due.ordinal,
        state=ReminderState.DUE,
        place=None,
        planted_on=planted_on,
        traits=UNTOLD.bits,
        mulch_kind=None,
        elevation_m=None,
    )
