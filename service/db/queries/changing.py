"""How a farmer stands before an officer changes something of theirs, and a number that changes."""

from datetime import datetime
from typing import Any, Final

from sqlalchemy import ColumnElement, Connection, and_, delete, insert, select, update

from flows.facts import FarmerState
from service.core.changing import ASKED, REFUSED, LastWord, Person, Standing
from service.db.tables.people import consent, district, farmer, farmer_phone

_NOW: Final = farmer_phone.c.until.is_(None)


class Changing:
    """Reads one farmer, and keeps which phones are theirs."""

    def __init__(self, connection: Connection) -> None:
        """Ask on `connection`."""
        self._connection = connection

    def standing(self, farmer_id: int) -> Standing | None:
        """Return how a farmer stands; None for one who is erased or not there."""
        found = (
            select(farmer, district.c.zone)
            .join(district, district.c.id == farmer.c.district_id)
            .where(farmer.c.id == farmer_id, farmer.c.state != FarmerState.ERASED)
        )
        row = self._connection.execute(found).first()
        if row is None:
            return None
        return Standing(
            id=row.id,
            person=Person(
                name=row.name,
                language=row.language,
                district_id=row.district_id,
                village_id=row.village_id,
                group_id=row.group_id,
            ),
            state=FarmerState(row.state),
            zone=row.zone,
            paused_until=row.paused_until,
            phones=self._phones(farmer_id, farmer_phone.c.role != ASKED),
            asked=next(iter(self._phones(farmer_id, farmer_phone.c.role == ASKED)), None),
            last_word=self._last_word(farmer_id),
        )

    def ask(self, farmer_id: int, phone_id: int, now: datetime) -> None:
        """Let a phone be asked whether it is the farmer's; until it says yes it speaks for them in nothing."""
        # It may have been theirs years ago.
        self._connection.execute(delete(farmer_phone).where(_link(farmer_id, phone_id)))
        self._connection.execute(
            insert(farmer_phone).values(
                farmer_id=farmer_id, phone_id=phone_id, role=ASKED, preferred=False, since=now
            )
        )

    def take(self, farmer_id: int, phone_id: int, role: str, now: datetime) -> None:
        """Let the phone that said yes speak for the farmer, in place of all others of theirs."""
        others = and_(farmer_phone.c.farmer_id == farmer_id, farmer_phone.c.phone_id != phone_id, _NOW)
        self._set(others, until=now, preferred=False)
        self._set(_link(farmer_id, phone_id), role=role, preferred=True, since=now)

    def refuse(self, farmer_id: int, phone_id: int, now: datetime) -> None:
        """Keep that a phone which was asked is not the farmer's."""
        self._set(_link(farmer_id, phone_id), role=REFUSED, until=now)

    def leave(self, farmer_id: int, phone_id: int, now: datetime) -> None:
        """Let a phone speak for the farmer no longer."""
        self._set(_link(farmer_id, phone_id), until=now)

    def take_back(self, farmer_id: int, phone_id: int) -> None:
        """Undo `ask`, with what was left in the same moment."""
        asked = and_(_link(farmer_id, phone_id), farmer_phone.c.role == ASKED)
        since = self._connection.execute(select(farmer_phone.c.since).where(asked)).scalar()
        self._set(and_(farmer_phone.c.farmer_id == farmer_id, farmer_phone.c.until == since), until=None)
        self._connection.execute(delete(farmer_phone).where(asked))

    def asked_before(self, instant: datetime) -> tuple[tuple[int, int], ...]:
        """Return (farmer, phone) of phones that were asked before then and have not answered."""
        found = (
            select(farmer_phone.c.farmer_id, farmer_phone.c.phone_id)
            .where(farmer_phone.c.role == ASKED, farmer_phone.c.since <= instant, _NOW)
            .order_by(farmer_phone.c.since, farmer_phone.c.farmer_id)
        )
        return tuple((row.farmer_id, row.phone_id) for row in self._connection.execute(found))

    def _set(self, which: ColumnElement[bool], **values: Any) -> None:
        self._connection.execute(update(farmer_phone).where(which).values(**values))

    def _phones(self, farmer_id: int, which: ColumnElement[bool]) -> tuple[int, ...]:
        found = (
            select(farmer_phone.c.phone_id)
            .where(farmer_phone.c.farmer_id == farmer_id, _NOW, which)
            .order_by(farmer_phone.c.preferred.desc(), farmer_phone.c.since, farmer_phone.c.phone_id)
        )
        return tuple(self._connection.execute(found).scalars())

    def _last_word(self, farmer_id: int) -> LastWord | None:
        # Consent is found by phone: it is kept for numbers.
        theirs = select(farmer_phone.c.phone_id).where(farmer_phone.c.farmer_id == farmer_id)
        found = (
            select(consent.c.answer, consent.c.way, consent.c.at)
            .where(
                consent.c.phone_id.in_(theirs),
                consent.c.farmer_id == farmer_id,
                consent.c.purpose == "texts",
            )
            .order_by(consent.c.at.desc(), consent.c.id.desc())
            .limit(1)
        )
        row = self._connection.execute(found).first()
        return LastWord(answer=row.answer, way=row.way, at=row.at) if row else None


def _link(farmer_id: int, phone_id: int) -> ColumnElement[bool]:
    return and_(farmer_phone.c.farmer_id == farmer_id, farmer_phone.c.phone_id == phone_id)
