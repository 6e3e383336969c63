"""Which versions of the crop calendar a database was planned with."""

import hashlib
from datetime import date

from pydantic import TypeAdapter

from service.agronomy.calendar import Calendar
from service.core.errors import Refused
from service.db.work import Database
from service.logs import logger
from service.use_cases.tools import Tools, place_word

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


def let_districts_have_their_own(database: Database, tools: Tools) -> int:
    """Let each plot be planned by the calendar of its farmer's district; return how many others that were.

    What is planned stays planned, and nothing that was sent is sent again, see `scheduler.overtaken`.

    Raises:
        Refused: a calendar is of a district there is not.
    """
    with database.work() as work:
        districts = work.people.districts()
        unknown = tools.in_places.keys() - {place_word(one.name) for one in districts}
        if unknown:
            there = ", ".join(one.name for one in districts) or "none yet"
            raise Refused(
                f"The folder calendars_dir has a file for {min(unknown)}, and there is no such district. "
                f"There are: {there}. Name the file after its district."
            )
        moved = sum(
            work.planning.plan_district_by(one.id, tools.calendar_in(one.name).id) for one in districts
        )
        work.commit()
    if moved:
        logger().info("plots_have_another_calendar", plots=moved)
    return moved
