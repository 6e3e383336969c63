"""What the merge of a day needs: whose reminders wait, and how it is kept what became of them."""

import json
import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import Connection, bindparam, exists, select, text, update

from service.agronomy.calendar import Calendar
from service.core.model import ReminderKey, ReminderState
from service.db.queries.by_plot import WAITING
from service.db.queries.waiting import REACHED, Gathered, gather
from service.db.tables.people import farmer_phone
from service.db.tables.plots import plot, reminder

_PHONES = (
    select(farmer_phone.c.phone_id)
    .distinct()
    .where(
        farmer_phone.c.phone_id > bindparam("after"),
        REACHED,
        exists()
        .where(plot.c.farmer_id == farmer_phone.c.farmer_id)
        .where(plot.c.zone == bindparam("zone"), plot.c.calendar_id == bindparam("calendar_id"))
        .where(reminder.c.plot_id == plot.c.id, WAITING),
    )
    .order_by(farmer_phone.c.phone_id)
    .limit(bindparam("most"))
)
_PHONES_OF = (
    select(farmer_phone.c.phone_id)
    .distinct()
    .where(farmer_phone.c.farmer_id.in_(bindparam("farmer_ids", expanding=True)), REACHED)
)
_CLEAR_PLACES = (
    update(reminder)
    .where(reminder.c.plot_id.in_(bindparam("plot_ids", expanding=True)), reminder.c.place.is_not(None))
    .values(place=None)
)
# The reminders come as one JSON array: told one by one they take longer than anything else that a merge writes.
_SET: Final = """
    UPDATE reminder
    SET state = :state, why = [why], message_day = [message_day], message_id = [message_id], place = [place]
    FROM [ROWS]
    WHERE reminder.due_on = [due_on] AND reminder.task = [task]
      AND reminder.plot_id = [plot_id] AND reminder.revision = [revision]
    """
_NAME: Final = re.compile(r"\[([a-z_]+)\]")
_TYPES: Final = (
    "due_on date, task text, plot_id bigint, revision integer,"
    " why text, message_day date, message_id bigint, place smallint"
)
# How each engine takes such an array apart, and a value out of one of its rows.
_ARRAYS: Final = {
    "sqlite": ("json_each(:rows) AS one", r"json_extract(one.value, '$.\1')"),
    "postgresql": (f"jsonb_to_recordset(CAST(:rows AS jsonb)) AS one({_TYPES})", r"one.\1"),
}
_SETS: Final = {
    engine: text(_NAME.sub(value, _SET).replace("[ROWS]", array))
    for engine, (array, value) in _ARRAYS.items()
}


class Merging:
    """Turning a day's reminders into texts."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def phones(self, zone: str, calendar_id: str, after: int, most: int) -> tuple[int, ...]:
        """Return phones, in order and after `after`, whose farmers have reminders waiting."""
        values = {"zone": zone, "calendar_id": calendar_id, "after": after, "most": most}
        return tuple(self._connection.execute(_PHONES, values).scalars())

    def phones_of(self, farmer_ids: Iterable[int]) -> tuple[int, ...]:
        """Return the phones that texts to these farmers go to."""
        values = {"farmer_ids": list(farmer_ids)}
        return tuple(self._connection.execute(_PHONES_OF, values).scalars())

    def gather(
        self, phone_ids: Sequence[int], *, on: date, since: date, now: datetime, calendar: Calendar
    ) -> Gathered:
        """Return what today's texts to these phones are decided from, see `service.db.queries.waiting`."""
        return gather(self._connection, phone_ids, on=on, since=since, now=now, calendar=calendar)

    def clear_places(self, plot_ids: Iterable[int]) -> None:
        """Let the numbers of earlier lists lapse."""
        self._connection.execute(_CLEAR_PLACES, {"plot_ids": list(plot_ids)})

    def set_texted(self, rows: Iterable[tuple[ReminderKey, date, int, int | None]]) -> None:
        """Keep which text each reminder went into, and its number there: (reminder, text's day, text's id, place)."""
        self._set(
            ReminderState.TEXTED,
            [
                {**_key(key), "message_day": day.isoformat(), "message_id": id_, "place": place}
                for key, day, id_, place in rows
            ],
        )

    def set_dropped(self, rows: Iterable[tuple[ReminderKey, str]]) -> None:
        """Keep which reminders are not texted any more, and why."""
        self._set(ReminderState.DROPPED, [{**_key(key), "why": why} for key, why in rows])

    def _set(self, state: ReminderState, rows: list[dict[str, Any]]) -> None:
        if rows:
            statement = _SETS[self._connection.dialect.name]
            self._connection.execute(statement, {"state": state, "rows": json.dumps(rows)})


def _key(key: ReminderKey) -> dict[str, Any]:
    return {
        "due_on": key.due_on.isoformat(),
        "task": key.task,
        "plot_id": key.plot_id,
        "revision": key.revision,
    }
