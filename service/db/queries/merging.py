"""What the merge of a day needs: whose reminders wait, what they were texted lately, and how it is kept."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, and_, case, exists, func, or_, select, update

from flows.facts import FarmerState
from service.core.model import Plot, Reminder, ReminderKey, ReminderState
from service.db.queries.by_plot import SETTLED, WAITING
from service.db.queries.plots import as_plot
from service.db.queries.reminders import SET, key_values
from service.db.tables.people import farmer, farmer_phone
from service.db.tables.plots import plot, reminder

_TEXTED = (ReminderState.TEXTED, ReminderState.ANSWERED)
_reached = and_(farmer_phone.c.preferred, farmer_phone.c.until.is_(None))


@dataclass(frozen=True, kw_only=True, slots=True)
class Waiting:
    """One farmer with the reminders that wait to be texted, and the phone they go to."""

    farmer_id: int
    name: str
    language: str
    text_hour: int
    phone_id: int
    plots: tuple[Plot, ...]
    reminders: tuple[Reminder, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Lately:
    """When a task was last texted for a plot, and whether it was answered."""

    texted_on: date | None
    answered: bool


class Merging:
    """Turning a day's reminders into texts."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def phones(self, zone: str, calendar_id: str, after: int, most: int) -> tuple[int, ...]:
        """Return phones, in order and after `after`, whose farmers have reminders waiting."""
        waits = (
            exists()
            .where(plot.c.farmer_id == farmer_phone.c.farmer_id)
            .where(plot.c.zone == zone, plot.c.calendar_id == calendar_id)
            .where(reminder.c.plot_id == plot.c.id, WAITING)
        )
        rows = self._connection.execute(
            select(farmer_phone.c.phone_id)
            .distinct()
            .where(farmer_phone.c.phone_id > after, _reached, waits)
            .order_by(farmer_phone.c.phone_id)
            .limit(most)
        )
        return tuple(row.phone_id for row in rows)

    def phones_of(self, farmer_ids: Iterable[int]) -> tuple[int, ...]:
        """Return the phones that texts to these farmers go to."""
        rows = self._connection.execute(
            select(farmer_phone.c.phone_id)
            .distinct()
            .where(farmer_phone.c.farmer_id.in_(list(farmer_ids)), _reached)
        )
        return tuple(row.phone_id for row in rows)

    def waiting(self, phone_ids: Sequence[int], on: date, now: datetime) -> tuple[Waiting, ...]:
        """Return the farmers behind these phones, but for those who pause, with what waits and is due by `on`."""
        people = self._connection.execute(
            select(farmer, farmer_phone.c.phone_id)
            .join(farmer_phone, farmer_phone.c.farmer_id == farmer.c.id)
            .where(farmer_phone.c.phone_id.in_(phone_ids), _reached, farmer.c.state == FarmerState.ACTIVE)
            .where(or_(farmer.c.paused_until.is_(None), farmer.c.paused_until <= now))
            .order_by(farmer_phone.c.phone_id, farmer.c.id)
        ).all()
        plots: dict[int, list[Plot]] = {}
        ids = [person.id for person in people]
        for row in self._connection.execute(select(plot).where(plot.c.farmer_id.in_(ids), plot.c.live)):
            plots.setdefault(row.farmer_id, []).append(as_plot(row))
        by_plot = {one.id: one for owned in plots.values() for one in owned}
        reminders = self._reminders(by_plot, on)
        return tuple(
            Waiting(
                farmer_id=person.id,
                name=person.name,
                language=person.language,
                text_hour=person.text_hour,
                phone_id=person.phone_id,
                plots=tuple(plots.get(person.id, ())),
                reminders=tuple(reminders.get(person.id, ())),
            )
            for person in people
        )

    def _reminders(self, by_plot: dict[int, Plot], on: date) -> dict[int, list[Reminder]]:
        found: dict[int, list[Reminder]] = {}
        rows = self._connection.execute(
            select(reminder).where(
                reminder.c.plot_id.in_(list(by_plot)),
                WAITING,
                reminder.c.due_on <= on,
            )
        )
        for row in rows:
            owner = by_plot[row.plot_id]
            found.setdefault(owner.farmer_id, []).append(
                Reminder(
                    key=ReminderKey(
                        due_on=row.due_on, task=row.task, plot_id=row.plot_id, revision=row.revision
                    ),
                    ordinal=row.ordinal,
                    state=ReminderState.DUE,
                    place=None,
                    planted_on=owner.planted_on,
                    mulch_kind=owner.mulch_kind,
                    elevation_m=owner.elevation_m,
                )
            )
        return found

    def lately(self, plot_ids: Iterable[int], since: date) -> dict[tuple[int, str], Lately]:
        """Return for each (plot, task) due since then when it was last texted, whatever the plot's revision."""
        answered = case((reminder.c.state == ReminderState.ANSWERED, 1), else_=0)
        rows = self._connection.execute(
            select(
                reminder.c.plot_id,
                reminder.c.task,
                func.max(reminder.c.message_day).label("texted_on"),
                func.max(answered).label("answered"),
            )
            .where(
                reminder.c.plot_id.in_(list(plot_ids)),
                SETTLED,
                reminder.c.due_on >= since,
                reminder.c.state.in_(_TEXTED),
            )
            .group_by(reminder.c.plot_id, reminder.c.task)
        )
        return {
            (row.plot_id, row.task): Lately(texted_on=row.texted_on, answered=bool(row.answered))
            for row in rows
        }

    def clear_places(self, plot_ids: Iterable[int]) -> None:
        """Let the numbers of earlier lists lapse."""
        self._connection.execute(
            update(reminder)
            .where(reminder.c.plot_id.in_(list(plot_ids)), reminder.c.place.is_not(None))
            .values(place=None)
        )

    def set_texted(self, rows: Iterable[tuple[ReminderKey, date, int, int | None]]) -> None:
        """Keep which text each reminder went into, and its number there: (reminder, text's day, text's id, place)."""
        self._set(
            [
                {
                    **_ended(key, ReminderState.TEXTED),
                    "new_message_day": day,
                    "new_message_id": id_,
                    "new_place": place,
                }
                for key, day, id_, place in rows
            ]
        )

    def set_dropped(self, rows: Iterable[tuple[ReminderKey, str]]) -> None:
        """Keep which reminders are not texted any more, and why."""
        self._set([{**_ended(key, ReminderState.DROPPED), "new_why": why} for key, why in rows])

    def _set(self, rows: list[dict[str, Any]]) -> None:
        if rows:
            self._connection.execute(SET, rows)


def _ended(key: ReminderKey, state: ReminderState) -> dict[str, Any]:
    return {
        **key_values(key),
        "new_state": state,
        "new_why": None,
        "new_message_day": None,
        "new_message_id": None,
        "new_place": None,
    }
