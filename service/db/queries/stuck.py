"""Texts that came to nothing by themselves: set aside unread, or failed for good."""

from collections.abc import Collection
from datetime import date, datetime
from typing import Any, Final

from sqlalchemy import ColumnElement, Connection, Row, Select, and_, exists, func, select, text, true, update

from service.core.model import InboundState
from service.core.stuck_ports import FailedLine, UnreadLine
from service.db.tables.meta import only
from service.db.tables.outbox import message
from service.db.tables.people import district, farmer, farmer_phone, phone
from service.db.tables.speech import inbound

_SET_ASIDE: Final = inbound.c.state == only(InboundState.CORRUPT)
# Written as the partial index has it, so that the engines use it.
_FAILED: Final = text("message.state = 'failed' AND message.seen_at IS NULL")
_UNREAD: Final[Select[Any]] = (
    select(inbound.c.id, inbound.c.text, inbound.c.received_at.label("at"), phone.c.last3)
    .join(phone, phone.c.id == inbound.c.phone_id)
    .where(_SET_ASIDE)
)
_LINES: Final[Select[Any]] = (
    select(
        message.c.queued_on,
        message.c.id,
        message.c.kind,
        message.c.text,
        message.c.why,
        message.c.state_at.label("at"),
        message.c.expires_at,
        message.c.farmer_id,
        farmer.c.name.label("farmer"),
        district.c.name.label("district"),
        message.c.alert_id,
        phone.c.last3,
    )
    .join(phone, phone.c.id == message.c.phone_id)
    .outerjoin(farmer, farmer.c.id == message.c.farmer_id)
    .outerjoin(district, district.c.id == farmer.c.district_id)
    .where(_FAILED)
)


class Stuck:
    """Reads such texts and keeps what officers decide about them."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def unread(self, districts: Collection[int] | None, limit: int) -> tuple[UnreadLine, ...]:
        """Return texts that were set aside, the oldest first; a stranger's is for who has all districts."""
        found = _UNREAD.where(_from(districts)).order_by(inbound.c.id).limit(limit)
        return tuple(UnreadLine(**row) for row in self._connection.execute(found).mappings())

    def failed(self, districts: Collection[int] | None, limit: int) -> tuple[FailedLine, ...]:
        """Return texts that failed for good and nobody has seen, the newest first."""
        found = _LINES.where(_to(districts)).order_by(message.c.state_at.desc(), message.c.id).limit(limit)
        return tuple(_line(row) for row in self._connection.execute(found))

    def count(self, districts: Collection[int] | None) -> int:
        """Return how many of both there are."""
        return self._count(_UNREAD.where(_from(districts))) + self.failed_count(districts)

    def failed_count(self, districts: Collection[int] | None) -> int:
        """Return how many texts failed for good and nobody has seen."""
        return self._count(_LINES.where(_to(districts)))

    def find_unread(self, districts: Collection[int] | None, inbound_id: int) -> UnreadLine | None:
        """Return one text that was set aside, None if it lies elsewhere or was dealt with."""
        found = _UNREAD.where(_from(districts), inbound.c.id == inbound_id)
        row = self._connection.execute(found).mappings().first()
        return UnreadLine(**row) if row else None

    def find_failed(self, districts: Collection[int] | None, key: tuple[date, int]) -> FailedLine | None:
        """Return one text that failed, None if it is of elsewhere or was dealt with."""
        found = _LINES.where(_to(districts), message.c.queued_on == key[0], message.c.id == key[1])
        row = self._connection.execute(found).first()
        return _line(row) if row else None

    def read_again(self, inbound_id: int) -> None:
        """Let a text be read as if it had just come, with three tries."""
        self._set_aside(inbound_id, state=InboundState.STORED, tries=0)

    def looked_at(self, inbound_id: int) -> None:
        """Keep that an officer has seen a text that cannot be read."""
        self._set_aside(inbound_id, state=InboundState.LOOKED_AT)

    def seen(self, key: tuple[date, int], at: datetime) -> None:
        """Keep that an officer has seen that a text failed."""
        this = and_(message.c.queued_on == key[0], message.c.id == key[1])
        self._connection.execute(update(message).where(this).values(seen_at=at))

    def _set_aside(self, inbound_id: int, **values: Any) -> None:
        self._connection.execute(
            update(inbound).where(inbound.c.id == inbound_id, _SET_ASIDE).values(**values)
        )

    def _count(self, rows: Select[Any]) -> int:
        counted: int = self._connection.execute(
            select(func.count()).select_from(rows.subquery())
        ).scalar_one()
        return counted


def _from(districts: Collection[int] | None) -> ColumnElement[bool]:
    """Return whether a text that came in is of a phone that speaks for a farmer of these districts."""
    if districts is None:
        return true()
    return exists(
        select(farmer.c.id)
        .join(farmer_phone, farmer_phone.c.farmer_id == farmer.c.id)
        .where(
            farmer_phone.c.phone_id == inbound.c.phone_id,
            farmer_phone.c.until.is_(None),
            farmer.c.district_id.in_(sorted(districts)),
        )
    )


def _to(districts: Collection[int] | None) -> ColumnElement[bool]:
    return true() if districts is None else farmer.c.district_id.in_(sorted(districts))


def _line(row: Row[Any]) -> FailedLine:
    values = dict(row._mapping)  # noqa: SLF001 - public, underlined so that no column hides it
    key = (values.pop("queued_on"), values.pop("id"))
    return FailedLine(key=key, **values)
