"""What the send journal is told of texts that leave, and what an older database takes over from it."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import Connection, RowMapping, bindparam, insert, select, update

from flows.facts import FarmerState
from service.agronomy.tasks import LOOK_BACK
from service.core.journal import Departed, Departure, Outcome, Refusals
from service.core.kinds import KINDS, MessageState, Policy
from service.core.model import Claimed, ReminderKey, ReminderState
from service.db.queries.erasing import Erasing
from service.db.queries.outbox import Outbox
from service.db.queries.people import People
from service.db.queries.plots import Plots
from service.db.queries.reminders import Reminders
from service.db.queries.unsettled import SUBMITTING, UNSETTLED
from service.db.sealing import Seal
from service.db.tables.outbox import attempt, message
from service.db.tables.people import farmer, phone, stop_list
from service.db.tables.plots import plot, reminder
from service.db.upsert import insert as upsert
from service.db.upsert import insert_new

_MOST_AT_ONCE: Final = 500
_WHY: Final = "sent before the backup was put back, by the send journal"
_WHY_SETTLED: Final = "accepted, by the send journal"
_OPEN: Final = (MessageState.DUE, MessageState.SUBMITTING, MessageState.IN_DOUBT)
_STATES: Final = {Outcome.ACCEPTED: MessageState.ACCEPTED, Outcome.DOUBT: MessageState.IN_DOUBT}
_OUTCOMES: Final = {Outcome.ACCEPTED: "accepted", Outcome.DOUBT: "answer_lost"}
_DEPARTURE = (
    select(message, phone.c.number_index)
    .join(phone, phone.c.id == message.c.phone_id)
    .where(message.c.queued_on == bindparam("day"), message.c.id == bindparam("id"))
)
_ON_THE_WIRE: Final = (
    select(attempt.c.reference)
    .join(message, (message.c.queued_on == attempt.c.message_day) & (message.c.id == attempt.c.message_id))
    .where(SUBMITTING, attempt.c.outcome.is_(None))
)
_JOBS = (
    select(reminder)
    .join(plot, plot.c.id == reminder.c.plot_id)
    .where(
        plot.c.farmer_id == bindparam("farmer_id"),
        reminder.c.due_on >= bindparam("since"),
        reminder.c.message_day == bindparam("day"),
        reminder.c.message_id == bindparam("id"),
    )
)


class JournalRows:
    """The database's side of the send journal."""

    def __init__(self, connection: Connection, seal: Seal) -> None:
        """Work on `connection`."""
        self._connection = connection
        self._seal = seal

    def departures(self, claimed: Iterable[Claimed], at: datetime) -> tuple[Departure, ...]:
        """Return what the journal is to keep of texts that are about to leave."""
        return tuple(self._departure(one, at) for one in claimed)

    def _departure(self, claimed: Claimed, at: datetime) -> Departure:
        key = {"day": claimed.queued_on, "id": claimed.id}
        row = self._connection.execute(_DEPARTURE, key).mappings().one()
        return Departure(
            reference=claimed.reference,
            at=at,
            queued_on=claimed.queued_on,
            message_id=claimed.id,
            idem_key=row["idem_key"],
            kind=row["kind"],
            phone=row["number_index"],
            farmer_id=row["farmer_id"],
            gateway=row["gateway"],
            language=row["language"],
            text_id=row["text_id"],
            parts=row["parts"],
            zone=row["zone"],
            expires_at=row["expires_at"],
            jobs=self._jobs(row),
            scopes=claimed.scopes,
            paid_on=claimed.paid_on,
        )

    def _jobs(self, row: RowMapping) -> tuple[str, ...]:
        if row["farmer_id"] is None or row["inbound_id"] is not None:
            return ()
        day = row["queued_on"]
        values = {
            "farmer_id": row["farmer_id"],
            # It keeps the look inside an index.
            "since": day - LOOK_BACK,
            "day": day,
            "id": row["id"],
        }
        return tuple(_job_word(found) for found in self._connection.execute(_JOBS, values).mappings())

    def unknown(self, references: Sequence[str]) -> frozenset[str]:
        """Return those of the references that no try in the database has."""
        known: set[str] = set()
        for first in range(0, len(references), _MOST_AT_ONCE):
            some = references[first : first + _MOST_AT_ONCE]
            known.update(
                self._connection.execute(
                    select(attempt.c.reference).where(attempt.c.reference.in_(some))
                ).scalars()
            )
        return frozenset(references) - known

    def newest_reference(self) -> str | None:
        """Return the reference of the newest try: they are ordered by time (RFC 9562, UUIDv7)."""
        found: str | None = self._connection.execute(
            select(attempt.c.reference).order_by(attempt.c.reference.desc()).limit(1)
        ).scalar()
        return found

    def unsettled(self) -> frozenset[str]:
        """Return the references of the tries under way when the last process ended, or the backup was made."""
        found = self._connection.execute(_ON_THE_WIRE).scalars()
        return frozenset(found)

    def settle(self, departed: Departed) -> None:
        """Let a text that is being sent be accepted, as the journal says it was."""
        departure = departed.departure
        ends = {"ended_at": departure.at, "outcome": "accepted", "gateway_ref": departed.gateway_ref}
        self._connection.execute(
            update(attempt).where(attempt.c.reference == departure.reference).values(ends)
        )
        key = (message.c.queued_on == departure.queued_on) & (message.c.id == departure.message_id)
        accepted = {"state": MessageState.ACCEPTED, "state_at": departure.at, "why": _WHY_SETTLED}
        self._connection.execute(
            update(message).where(key, message.c.state == MessageState.SUBMITTING).values(accepted)
        )

    def leave_doubts(self) -> None:
        """Let nothing that is in doubt be sent again by itself: the receipt that settled it may be lost."""
        self._connection.execute(update(message).where(UNSETTLED).values(policy=Policy.AT_MOST_ONCE))

    def take_over(self, departed: Departed) -> bool:
        """Let the database know of a text that left; return whether the phone is known there."""
        departure = departed.departure
        phone_id = self.phone_of(departure)
        if phone_id is None:
            return False
        key = self._message(departed, phone_id)
        self._connection.execute(
            insert_new(self._connection.dialect.name, attempt).values(
                reference=departure.reference,
                message_day=key[0],
                message_id=key[1],
                number=1,
                began_at=departure.at,
                ended_at=departure.at,
                outcome=_OUTCOMES[departed.outcome],
                gateway=departure.gateway,
                gateway_ref=departed.gateway_ref,
            )
        )
        for job in departure.jobs:
            self._job(job, key)
        return True

    def phone_of(self, departure: Departure) -> int | None:
        """Return the id of the phone a text left to, None if it is not known."""
        found = select(phone.c.id).where(phone.c.number_index == departure.phone)
        return self._connection.execute(found).scalar()

    def _message(self, departed: Departed, phone_id: int) -> tuple[date, int]:
        """Let the text stand as sent, or put one in its place that keeps it from being written again."""
        departure = departed.departure
        same = (message.c.queued_on == departure.queued_on) & (message.c.idem_key == departure.idem_key)
        there = self._connection.execute(select(message.c.id).where(same)).scalar()
        values: dict[str, Any] = {
            "state": _STATES[departed.outcome],
            "state_at": departure.at,
            "why": _WHY,
            "doubts": int(departed.outcome is Outcome.DOUBT),
            # Sent again it would be by nobody's leave: the receipt that settled it is lost.
            "policy": Policy.AT_MOST_ONCE,
        }
        if there is not None:
            rises = same & message.c.state.in_(_OPEN)
            self._connection.execute(update(message).where(rises).values(values))
            return departure.queued_on, there
        self._connection.execute(
            insert(message).values(
                queued_on=departure.queued_on,
                id=departure.message_id,
                idem_key=departure.idem_key,
                kind=departure.kind,
                phone_id=phone_id,
                farmer_id=departure.farmer_id,
                gateway=departure.gateway,
                language=departure.language,
                text_id=departure.text_id,
                # The journal keeps no words.
                text="",
                parts=departure.parts,
                priority=KINDS[departure.kind].priority,
                zone=departure.zone,
                not_before=departure.at,
                expires_at=departure.expires_at,
                tries=1,
                **values,
            )
        )
        return departure.queued_on, departure.message_id

    def _job(self, word: str, key: tuple[date, int]) -> None:
        """Let a reminder stand as texted, also one that the older database has not planned yet."""
        named, ordinal, place = word.rsplit("/", 2)
        reminder_key = ReminderKey.parse(named)
        texted = {
            "state": ReminderState.TEXTED,
            "message_day": key[0],
            "message_id": key[1],
            "place": int(place) or None,
        }
        new = upsert(self._connection.dialect.name, reminder).values(
            due_on=reminder_key.due_on,
            task=reminder_key.task,
            plot_id=reminder_key.plot_id,
            revision=reminder_key.revision,
            ordinal=int(ordinal),
            **texted,
        )
        self._connection.execute(
            new.on_conflict_do_update(
                index_elements=["due_on", "task", "plot_id", "revision"],
                set_=texted,
                where=reminder.c.state == ReminderState.DUE,
            )
        )

    def refusals(self) -> Refusals:
        """Return who has said stop and who was erased."""
        erased = select(farmer.c.id).where(farmer.c.state == FarmerState.ERASED)
        return Refusals(
            stopped=frozenset(self._connection.execute(select(stop_list.c.number_index)).scalars()),
            erased=frozenset(self._connection.execute(erased).scalars()),
        )

    def refuse_again(self, refusals: Refusals, now: datetime) -> int:
        """Let whoever has said stop or was erased be so again; return for how many that was not so."""
        there = self.refusals()
        stopped = refusals.stopped - there.stopped
        for index in sorted(stopped):
            self._stop_again(index, now)
        known = set(self._connection.execute(select(farmer.c.id)).scalars())
        erased = (refusals.erased - there.erased) & known
        for farmer_id in sorted(erased):
            self._erase_again(farmer_id, now)
        return len(stopped) + len(erased)

    def _erase_again(self, farmer_id: int, now: datetime) -> None:
        """Erase who was erased after the backup was made; of one who had not agreed the evidence stays."""
        state = self._connection.execute(select(farmer.c.state).where(farmer.c.id == farmer_id)).scalar_one()
        if state == FarmerState.PENDING:
            People(self._connection, self._seal).forget(farmer_id, but_inbound=None)
        else:
            Erasing(self._connection).erase(farmer_id, now.date(), now, but_inbound=None)

    def _stop_again(self, index: bytes, now: datetime) -> None:
        connection = self._connection
        new = insert_new(connection.dialect.name, stop_list).values(number_index=index, since=now)
        connection.execute(new)
        phone_id = connection.execute(select(phone.c.id).where(phone.c.number_index == index)).scalar()
        if phone_id is None:
            return
        people, plots, reminders = People(connection, self._seal), Plots(connection), Reminders(connection)
        Outbox(connection).cancel_pushed(phone_id, now)
        for person in people.on_phone(phone_id):
            if person.preferred and person.state is FarmerState.ACTIVE:
                people.set_state(person.id, FarmerState.STOPPED)
                plots.set_live(person.id, live=False)
                for one in plots.of_farmer(person.id):
                    reminders.end_waiting(one.id, ReminderState.DROPPED, "the farmer has stopped")


def _job_word(row: RowMapping) -> str:
    key = ReminderKey(
        due_on=row["due_on"], task=row["task"], plot_id=row["plot_id"], revision=row["revision"]
    )
    return f"{key}/{row['ordinal']}/{row['place'] or 0}"
