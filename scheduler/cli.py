"""The scheduler's commands: the worker, and a look at one day's plan."""

from collections import Counter
from datetime import date

import click

from scheduler.preview import count_day
from scheduler.runner import Worker
from scheduler.versions import keep_version, let_districts_have_their_own
from service.cli.arguments import DAY
from service.cli.opening import open_house
from service.clock import local_day
from service.core.errors import Refused
from service.logs import set_up


@click.command()
def worker() -> None:
    """Plan, send, receive and answer, until Ctrl-C.

    One worker runs on a database; a second one refuses to start.

    Example: trussline worker
    """
    with open_house() as house:
        set_up()
        today = local_day(house.service_clock.now(), house.settings.zone)
        for calendar in house.tools.calendars:
            keep_version(house.database, calendar, today)
        let_districts_have_their_own(house.database, house.tools)
        Worker(house).run()


@click.command()
@click.option("--on", "day", type=DAY, required=True, metavar="DATE", help="The local day, like 2026-03-25.")
def plan(day: date) -> None:
    """Show what would fall due on a day: how many reminders of each job, in each time zone.

    Only looks, at plots as they stand now; nothing is planned and nobody is texted. A farmer's texts
    of the day may hold fewer jobs, since several share a text and what does not fit waits.

    Example: trussline plan --on 2026-03-25
    """
    with open_house() as house:
        with house.database.look() as work:
            known = {calendar.id: calendar for calendar in house.tools.calendars}
            zones = [(zone, known[owner]) for zone, owner in work.planning.zones() if owner in known]
        if not zones:
            raise Refused("No farmer's plot is planned yet: nothing falls due on any day.")
        due: dict[str, Counter[str]] = {}
        for zone, calendar in zones:
            due.setdefault(zone, Counter()).update(count_day(house.database, calendar, zone, day))
        for zone, jobs in due.items():
            _show(zone, day, jobs)


def _show(zone: str, day: date, due: Counter[str]) -> None:
    click.echo(f"{zone}, {day:%a} {day.isoformat()}: {due.total()} reminders")
    for task, count in sorted(due.items(), key=lambda pair: (-pair[1], pair[0])):
        click.echo(f"  {task:<16}{count:>8}")
