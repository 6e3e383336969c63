"""What would fall due on a day, counted without planning it."""

from collections import Counter
from datetime import date

from scheduler.sweep import plots_due
from service.agronomy.calendar import Calendar
from service.agronomy.due import spans
from service.db.work import Database


def count_day(database: Database, calendar: Calendar, zone: str, day: date) -> Counter[str]:
    """Return how many reminders of each task fall due in a zone on `day`, as plots stand now; nothing is written."""
    with database.look() as work:
        counts = work.planning.counts(zone, calendar.id, day)
    due: Counter[str] = Counter()
    for span in spans(calendar, day):
        planted = [one for one in counts if span.planted_from <= one <= span.planted_to]
        due[span.task_id] += sum(plots_due(counts[one], span) for one in planted)
    # The plus leaves out tasks that nobody has to do.
    return +due
