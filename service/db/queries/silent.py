"""Farmers of whom nothing has been heard for long, although texts reach them."""

from datetime import datetime, timedelta
from typing import Any, Final

from sqlalchemy import ColumnElement, Connection, Select, exists, func, select

from flows.facts import FarmerState
from service.core.kinds import MessageState
from service.db.queries.console_values import SilentLine
from service.db.tables.outbox import message
from service.db.tables.people import district, farmer, farmer_phone, village
from service.db.tables.speech import inbound

# Four of our weekly lists, each of which asks for an answer: whoever answers none of them has lost the phone, the plants
# or the wish to, and a call tells which. Sooner would list who only does the jobs (common practice, no source).
LONG_SILENT: Final = timedelta(days=28)

_THEIR_PHONES: Final = (farmer_phone.c.farmer_id == farmer.c.id, farmer_phone.c.until.is_(None))
# Ids rise with time, so the newest text of a phone is one step into the index.
_LAST_ON_PHONE: Final = (
    select(inbound.c.received_at)
    .where(inbound.c.phone_id == farmer_phone.c.phone_id)
    .order_by(inbound.c.id.desc())
    .limit(1)
    .correlate(farmer_phone)
    .scalar_subquery()
)
_HEARD: Final = select(func.max(_LAST_ON_PHONE)).where(*_THEIR_PHONES).correlate(farmer).scalar_subquery()


class Silent:
    """Reads them for one officer."""

    def __init__(self, connection: Connection, theirs: ColumnElement[bool]) -> None:
        """Read in an open transaction what meets the condition `theirs`."""
        self._connection = connection
        self._theirs = theirs

    def lines(self, now: datetime, limit: int, offset: int = 0) -> tuple[SilentLine, ...]:
        """Return those who are silent, the longest silent first."""
        heard = self._silent(now).subquery()
        found = select(heard).order_by(heard.c.heard_at, heard.c.id).limit(limit).offset(offset)
        return tuple(SilentLine(**row) for row in self._connection.execute(found).mappings())

    def one(self, farmer_id: int, now: datetime) -> SilentLine | None:
        """Return since when a farmer is silent; None if they are not."""
        row = self._connection.execute(self._silent(now).where(farmer.c.id == farmer_id)).mappings().first()
        return SilentLine(**row) if row else None

    def _silent(self, now: datetime) -> Select[Any]:
        since = now - LONG_SILENT
        heard_at = func.coalesce(_HEARD, farmer.c.added_at)
        reached = exists(
            select(message.c.id)
            .join(farmer_phone, farmer_phone.c.phone_id == message.c.phone_id)
            .where(
                *_THEIR_PHONES,
                message.c.queued_on >= since.date(),
                message.c.state == MessageState.DELIVERED,
            )
            .correlate(farmer)
        )
        return (
            select(
                farmer.c.id,
                farmer.c.name,
                district.c.name.label("district"),
                village.c.name.label("village"),
                heard_at.label("heard_at"),
                _HEARD.is_(None).label("never"),
            )
            .join(district, district.c.id == farmer.c.district_id)
            .outerjoin(village, village.c.id == farmer.c.village_id)
            .where(
                farmer.c.state == FarmerState.ACTIVE,
                self._theirs,
                farmer.c.added_at < since,
                heard_at < since,
                reached,
            )
        )
