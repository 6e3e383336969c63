"""What would fall due on a day, counted without planning it."""

from collections import Counter
from datetime import date

from scheduler.sweep import plots_due
from service.agronomy.calendar import Calendar
from service.agronomy.due import spans
from service.db.work import Database


def count_day(database: Database, calendar: Calendar, zone: str, day: date) -> Counter[str]:
    """Return how many reminders of each task fall due in a zone on `day`; nothing is written."""
    with database.look() as work:
        counts = work.planning.counts(zone, calendar.id, day)
    due: Counter[str] = Counter()
    for span in spans(calendar, day):
        due[span.task_id] += sum(
            plots_due(plots, span)
            for planted_on, plots in counts.items()
            if span.planted_from <= planted_on <= span.planted_to
        )
    return +due
