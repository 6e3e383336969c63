"""Alerts as they are kept: their texts, districts and states, and what farmers answered."""

from collections.abc import Collection, Iterable, Mapping
from datetime import datetime
from typing import Any, Final, Unpack

from sqlalchemy import (
    Connection,
    Row,
    and_,
    bindparam,
    case,
    delete,
    exists,
    func,
    insert,
    or_,
    select,
    update,
)

from service.core.alert_ports import AlertLine, Answered, Writer
from service.core.alert_states import AlertState
from service.core.alerts import Alert, AlertText, Answer, Audience
from service.core.columns import AlertChange
from service.core.kinds import NEVER_LEFT, MessageState
from service.core.rights import EVERYWHERE, Role
from service.db.queries.calling_off import call_off
from service.db.tables.alerts import alert, alert_district, alert_recipient, alert_text
from service.db.tables.meta import only
from service.db.tables.outbox import message
from service.db.tables.people import district, farmer, phone
from service.db.tables.staff import officer, officer_district
from service.db.upsert import insert_new

_DUE: Final = message.c.state == only(MessageState.DUE)
# A text of an alert has left, or may have.
HAS_LEFT: Final = exists().where(
    message.c.alert_id == alert.c.id, message.c.state.not_in((MessageState.DUE, *NEVER_LEFT))
)
_RUNNING: Final = (
    select(alert.c.id).where(alert.c.state.in_(bindparam("states", expanding=True))).order_by(alert.c.id)
)


class Alerts:
    """Reads and writes alerts."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection
        self._add = insert_new(connection.dialect.name, alert)

    def add(self, new: Alert) -> bool:
        """Keep a new alert; return False, and change nothing, if there is one with its key already."""
        kept = self._connection.execute(
            self._add,
            {
                "id": new.id,
                "idem_key": new.idem_key,
                "officer_id": new.officer_id,
                "made_at": new.made_at,
                "state": new.state,
                **_contents(new),
            },
        )
        if kept.rowcount:
            self._put_parts(new)
        return bool(kept.rowcount)

    def replace(self, changed: Alert) -> None:
        """Put other contents into a draft."""
        here = alert.c.id == changed.id
        self._connection.execute(update(alert).where(here).values(**_contents(changed)))
        for table in (alert_text, alert_district):
            self._connection.execute(delete(table).where(table.c.alert_id == changed.id))
        self._put_parts(changed)

    def _put_parts(self, new: Alert) -> None:
        texts = [
            {
                "alert_id": new.id,
                "language": text.language,
                "text": text.text,
                "parts": text.parts,
                "digest": text.digest,
            }
            for text in new.texts
        ]
        self._connection.execute(insert(alert_text), texts)
        districts = [{"alert_id": new.id, "district_id": one} for one in sorted(new.audience.districts)]
        self._connection.execute(insert(alert_district), districts)

    def get(self, alert_id: int) -> Alert | None:
        """Return an alert, and let nobody else move it before this work ends if this work may write."""
        found = select(alert).where(alert.c.id == alert_id).with_for_update()
        return self._one(self._connection.execute(found).first())

    def look(self, alert_id: int) -> Alert | None:
        """Return an alert as it stands."""
        return self._one(self._connection.execute(select(alert).where(alert.c.id == alert_id)).first())

    def the(self, alert_id: int) -> Alert:
        """Return an alert that there must be, since this work has just moved it."""
        return self._read(self._connection.execute(select(alert).where(alert.c.id == alert_id)).one())

    def by_key(self, idem_key: str) -> Alert | None:
        """Return the alert that was made under a key."""
        found = select(alert).where(alert.c.idem_key == idem_key)
        return self._one(self._connection.execute(found).first())

    def _one(self, row: Row[Any] | None) -> Alert | None:
        return None if row is None else self._read(row)

    def _read(self, row: Row[Any]) -> Alert:
        texts = self._connection.execute(
            select(alert_text).where(alert_text.c.alert_id == row.id).order_by(alert_text.c.language)
        )
        values = dict(row._mapping)  # noqa: SLF001 - public, underlined so that no column hides it
        return Alert(
            **{
                **values,
                "state": AlertState(row.state),
                "audience": Audience.from_json(row.audience),
                "texts": tuple(
                    AlertText(language=one.language, text=one.text, parts=one.parts, digest=one.digest)
                    for one in texts
                ),
            }
        )

    def set_state(self, alert_id: int, state: AlertState, **values: Unpack[AlertChange]) -> None:
        """Let an alert stand in `state`; other columns by name."""
        self._connection.execute(update(alert).where(alert.c.id == alert_id).values(state=state, **values))

    def running(self, states: Iterable[AlertState]) -> tuple[int, ...]:
        """Return the alerts in some states, the oldest first."""
        return tuple(self._connection.execute(_RUNNING, {"states": list(states)}).scalars())

    def scheduled_by(self, officer_id: int) -> tuple[int, ...]:
        """Return the alerts that have not begun and that an officer wrote or approved, the oldest first."""
        found = select(alert.c.id).where(
            alert.c.state == AlertState.SCHEDULED,
            or_(alert.c.officer_id == officer_id, alert.c.approved_by == officer_id),
        )
        return tuple(self._connection.execute(found.order_by(alert.c.id)).scalars())

    def lines(self, districts: Collection[int] | None, limit: int) -> tuple[AlertLine, ...]:
        """Return the newest alerts that went to none but these districts; None for all."""
        found = (
            select(
                alert.c.id,
                alert.c.template,
                alert.c.kind,
                alert.c.state,
                alert.c.made_at,
                alert.c.send_at,
                alert.c.useless_after,
                alert.c.why,
                alert.c["values"],
                officer.c.name.label("officer"),
                HAS_LEFT.label("left"),
            )
            .join(officer, officer.c.id == alert.c.officer_id)
            .order_by(alert.c.id.desc())
            .limit(limit)
        )
        if districts is not None:
            elsewhere = exists().where(
                alert_district.c.alert_id == alert.c.id,
                alert_district.c.district_id.not_in(sorted(districts)),
            )
            found = found.where(~elsewhere)
        rows = self._connection.execute(found).all()
        names = self._district_names([row.id for row in rows])
        return tuple(AlertLine(**row._mapping, districts=names.get(row.id, ())) for row in rows)  # noqa: SLF001 - as above

    def _district_names(self, alert_ids: Collection[int]) -> dict[int, tuple[str, ...]]:
        rows = self._connection.execute(
            select(alert_district.c.alert_id, district.c.name)
            .join(district, district.c.id == alert_district.c.district_id)
            .where(alert_district.c.alert_id.in_(list(alert_ids)))
            .order_by(district.c.name)
        )
        names: dict[int, tuple[str, ...]] = {}
        for row in rows:
            names[row.alert_id] = (*names.get(row.alert_id, ()), row.name)
        return names

    def writer(self, officer_id: int) -> Writer:
        """Return an officer as one who stands for an alert."""
        row = self._connection.execute(
            select(officer.c.name, officer.c.role, officer.c.disabled_at).where(officer.c.id == officer_id)
        ).one()
        theirs = select(officer_district.c.district_id).where(officer_district.c.officer_id == officer_id)
        everywhere = row.role in EVERYWHERE
        return Writer(
            name=row.name,
            role=Role(row.role),
            active=row.disabled_at is None,
            districts=None if everywhere else frozenset(self._connection.execute(theirs).scalars()),
        )

    def hold(self, alert_id: int, until: datetime) -> None:
        """Move the texts of an alert that wait aside, until they are released or of no more use."""
        self._move_due(alert_id, not_before=until, why="its alert is paused")

    def release(self, alert_id: int, now: datetime) -> None:
        """Let the texts of an alert that were moved aside leave from now on."""
        self._move_due(alert_id, not_before=now, why=None)

    def end_due(self, alert_id: int, state: MessageState, why: str, now: datetime) -> None:
        """Let all texts of an alert that wait end in `state`; those that may have left before stay in doubt."""
        self._move_due(
            alert_id,
            state=case((message.c.doubts > 0, MessageState.IN_DOUBT), else_=state),
            state_at=now,
            why=why,
        )

    def _move_due(self, alert_id: int, **values: Any) -> None:
        self._connection.execute(update(message).where(message.c.alert_id == alert_id, _DUE).values(**values))

    def withdraw(self, phone_id: int, now: datetime) -> None:
        """Call off all alert texts that wait for a phone: it takes no alerts any more."""
        which = and_(message.c.phone_id == phone_id, message.c.alert_id.is_not(None))
        call_off(self._connection, which, "the phone takes no more alerts", now)

    def answer(self, alert_id: int, phone_id: int, answer: Answer | str, at: datetime) -> None:
        """Keep what a phone answered to an alert; the last answer counts."""
        self._connection.execute(
            update(alert_recipient)
            .where(alert_recipient.c.alert_id == alert_id, alert_recipient.c.phone_id == phone_id)
            .values(answer=Answer(answer), answered_at=at)
        )

    def answered(self, alert_id: int, answer: Answer, limit: int) -> tuple[Answered, ...]:
        """Return who gave an answer, the newest first."""
        rows = self._connection.execute(
            select(
                farmer.c.id.label("farmer_id"),
                farmer.c.name,
                district.c.name.label("district"),
                phone.c.last3,
                alert_recipient.c.answered_at.label("at"),
            )
            .join(farmer, farmer.c.id == alert_recipient.c.farmer_id)
            .join(district, district.c.id == farmer.c.district_id)
            .join(phone, phone.c.id == alert_recipient.c.phone_id)
            .where(
                alert_recipient.c.alert_id == alert_id,
                alert_recipient.c.answer.is_not(None),
                alert_recipient.c.answer == answer,
            )
            .order_by(alert_recipient.c.answered_at.desc())
            .limit(limit)
        )
        return tuple(Answered(**row._mapping) for row in rows)  # noqa: SLF001 - as above

    def queue_ahead(self, priority: int, now: datetime) -> int:
        """Return how many texts wait now that leave before one of this priority."""
        waits = and_(_DUE, message.c.priority <= priority, message.c.not_before <= now)
        return self._connection.execute(select(func.count()).select_from(message).where(waits)).scalar_one()


def _contents(new: Alert) -> Mapping[str, object]:
    return {
        "template": new.template,
        "kind": new.kind,
        "values": dict(new.values),
        "audience": new.audience.as_json(),
        "send_at": new.send_at,
        "useless_after": new.useless_after,
    }
