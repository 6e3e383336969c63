"""Which versions of the crop calendar a database was planned with."""

import hashlib
from datetime import date

from pydantic import TypeAdapter

from service.agronomy.calendar import Calendar
from service.db.work import Database
from service.logs import logger

_CALENDAR = TypeAdapter(Calendar)
_GONE = "the calendar does not have this job any more"


def fingerprint(calendar: Calendar) -> str:
    """Return the SHA-256 of what a calendar says, whatever the layout and the comments of its file."""
    return hashlib.sha256(_CALENDAR.dump_json(calendar)).hexdigest()


def keep_version(database: Database, calendar: Calendar, on: date) -> bool:
    """Keep that this version of the calendar is used from `on`, if it is new.

    Reminders of jobs that it does not have any more are ended: they could be neither worded nor ranked.

    Return whether it says what it said when it was first used; if not, a log line asks for a new version.
    """
    found = fingerprint(calendar)
    with database.work() as work:
        kept = work.planning.keep_version(calendar.id, calendar.edition, found, on)
        ended = work.reminders.end_unknown(calendar.by_id.keys(), _GONE)
        work.commit()
    if ended:
        logger().warning("jobs_left_the_calendar", calendar=calendar.id, reminders=ended)
    if kept != found:
        logger().warning("calendar_changed_under_its_version", calendar=calendar.id, version=calendar.edition)
    return kept == found
