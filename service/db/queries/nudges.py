"""Texts about jobs that were not answered: whom to ask after them once."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from sqlalchemy import Connection, and_, bindparam, exists, or_, select, tuple_, update

from flows.effects import Urgency
from flows.facts import FarmerState
from service.core.kinds import SENT
from service.core.model import Plot, Reminder, ReminderKey, ReminderState
from service.db.queries.plots import as_plot
from service.db.queries.questions import IS_OPEN
from service.db.tables.outbox import message
from service.db.tables.people import farmer, farmer_phone
from service.db.tables.plots import plot, reminder
from service.db.tables.speech import question

# The jobs texted between two days, few whatever has piled up: read first, whatever an engine thinks of its tables.
_TEXTED: Final = (
    select(reminder)
    .where(
        reminder.c.message_day >= bindparam("first"),
        reminder.c.message_day <= bindparam("last"),
        reminder.c.due_on >= bindparam("since"),
        reminder.c.state == ReminderState.TEXTED,
    )
    .cte("texted")
    .prefix_with("MATERIALIZED")
)
_same = reminder.alias()
# One answer to a list shows that it was read: its other jobs are not asked after either.
_HEARD_OF: Final = exists().where(
    _same.c.message_day == _TEXTED.c.message_day,
    _same.c.message_id == _TEXTED.c.message_id,
    or_(_same.c.state == ReminderState.ANSWERED, _same.c.nudged_on.is_not(None)),
)
_nudge = message.alias()
# An older database that was put back knows of the question itself, but not of the jobs it was about.
_ASKED_LATELY: Final = exists().where(
    _nudge.c.phone_id == farmer_phone.c.phone_id,
    _nudge.c.queued_on > _TEXTED.c.message_day,
    _nudge.c.farmer_id == farmer.c.id,
    _nudge.c.kind == "nudge",
)
# Whoever called for help is asked after no job before a person has seen to it.
_CALLS_FOR_HELP: Final = exists().where(
    question.c.phone_id == farmer_phone.c.phone_id, question.c.urgency == Urgency.EMERGENCY, IS_OPEN
)
_UNANSWERED: Final = (
    select(
        _TEXTED,
        plot.c.planted_on,
        plot.c.traits,
        plot.c.mulch_kind,
        plot.c.elevation_m,
        farmer.c.id.label("farmer_id"),
        farmer.c.name,
        farmer.c.language,
        farmer.c.text_hour,
        farmer_phone.c.phone_id,
    )
    .join(plot, and_(plot.c.id == _TEXTED.c.plot_id, plot.c.revision == _TEXTED.c.revision))
    .join(farmer, farmer.c.id == plot.c.farmer_id)
    .join(farmer_phone, farmer_phone.c.farmer_id == farmer.c.id)
    .join(message, and_(message.c.queued_on == _TEXTED.c.message_day, message.c.id == _TEXTED.c.message_id))
    .where(
        message.c.state.in_(SENT),
        plot.c.live,
        plot.c.zone == bindparam("zone"),
        plot.c.calendar_id == bindparam("calendar_id"),
        farmer.c.state == FarmerState.ACTIVE,
        or_(farmer.c.paused_until.is_(None), farmer.c.paused_until <= bindparam("now")),
        farmer_phone.c.preferred,
        farmer_phone.c.until.is_(None),
        ~_HEARD_OF,
        ~_ASKED_LATELY,
        ~_CALLS_FOR_HELP,
    )
    .order_by(farmer_phone.c.phone_id, _TEXTED.c.message_day, farmer.c.id)
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Unanswered:
    """A job of a text that was not answered, with whom to ask."""

    farmer_id: int
    name: str
    language: str
    text_hour: int
    phone_id: int
    reminder: Reminder
    text: tuple[date, int]


class Nudges:
    """Asking once after what was not answered."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def unanswered(
        self, zone: str, calendar_id: str, texted: tuple[date, date], since: date, now: datetime
    ) -> tuple[Unanswered, ...]:
        """Return jobs due since then, texted between two days to farmers who are texted now, by phone."""
        first, last = texted
        rows = self._connection.execute(
            _UNANSWERED,
            {
                "zone": zone,
                "calendar_id": calendar_id,
                "first": first,
                "last": last,
                "since": since,
                "now": now,
            },
        )
        return tuple(
            Unanswered(
                farmer_id=row.farmer_id,
                name=row.name,
                language=row.language,
                text_hour=row.text_hour,
                phone_id=row.phone_id,
                reminder=Reminder(
                    key=ReminderKey(
                        due_on=row.due_on, task=row.task, plot_id=row.plot_id, revision=row.revision
                    ),
                    ordinal=row.ordinal,
                    state=ReminderState.TEXTED,
                    place=row.place,
                    planted_on=row.planted_on,
                    traits=row.traits,
                    mulch_kind=row.mulch_kind,
                    elevation_m=row.elevation_m,
                ),
                text=(row.message_day, row.message_id),
            )
            for row in rows
        )

    def plots_on(self, phone_ids: Iterable[int]) -> dict[int, list[Plot]]:
        """Return the live plots of all farmers who are texted on these phones, by phone."""
        links = self._connection.execute(
            select(farmer_phone.c.farmer_id, farmer_phone.c.phone_id).where(
                farmer_phone.c.phone_id.in_(list(phone_ids)),
                farmer_phone.c.preferred,
                farmer_phone.c.until.is_(None),
            )
        )
        phones = {link.farmer_id: link.phone_id for link in links}
        owned = select(plot).where(plot.c.farmer_id.in_(list(phones)), plot.c.live)
        found: dict[int, list[Plot]] = {}
        for row in self._connection.execute(owned):
            found.setdefault(phones[row.farmer_id], []).append(as_plot(row))
        return found

    def set_nudged(self, texts: Sequence[tuple[date, int]], since: date, on: date) -> None:
        """Keep that all jobs of these texts were asked after; what falls due is looked for since then only."""
        named = tuple_(reminder.c.message_day, reminder.c.message_id).in_(texts)
        self._connection.execute(
            update(reminder).where(reminder.c.due_on >= since, named).values(nudged_on=on)
        )
