"""Phones, the farmers they speak for, and the stop list."""

from datetime import datetime

from sqlalchemy import Connection, and_, bindparam, delete, select, update

from flows.facts import FarmerState
from service.core.changing import ASKED
from service.core.model import PersonOnPhone
from service.core.phone import PhoneNumber
from service.db.sealing import Seal
from service.db.tables.people import district, farmer, farmer_phone, phone, stop_list
from service.db.tables.staff import officer
from service.db.upsert import insert_new

_PHONE_BY_INDEX = select(phone.c.id, phone.c.last3).where(phone.c.number_index == bindparam("number_index"))
_PEOPLE_ON_PHONE = (
    select(
        farmer.c.id,
        farmer.c.name,
        farmer.c.language,
        farmer.c.state,
        farmer.c.added_at,
        farmer.c.paused_until,
        farmer.c.held_out,
        officer.c.name.label("added_by"),
        district.c.name.label("district"),
        district.c.zone,
        farmer_phone.c.preferred,
        farmer_phone.c.role,
    )
    .join(farmer_phone, farmer_phone.c.farmer_id == farmer.c.id)
    .join(district, district.c.id == farmer.c.district_id)
    .outerjoin(officer, officer.c.id == farmer.c.added_by)
    .where(
        farmer_phone.c.phone_id == bindparam("phone_id"),
        farmer_phone.c.until.is_(None),
        farmer.c.state != FarmerState.ERASED,
    )
    .order_by(farmer_phone.c.since, farmer.c.id)
)
_STOPPED = (
    select(stop_list.c.since)
    .join(phone, phone.c.number_index == stop_list.c.number_index)
    .where(phone.c.id == bindparam("phone_id"))
)


class Phones:
    """How farmers are reached."""

    def __init__(self, connection: Connection, seal: Seal) -> None:
        """Ask on `connection`; `seal` reads and hides numbers."""
        self._connection = connection
        self._seal = seal
        self._dialect = connection.dialect.name

    def phone_for(self, number: PhoneNumber, now: datetime) -> int:
        """Return the id of the phone with that number, adding it if it is new."""
        index = self._seal.index(number.e164)
        found = self._connection.execute(_PHONE_BY_INDEX, {"number_index": index}).first()
        if found is not None and found.last3:
            return int(found.id)
        if found is not None:
            return self._known_again(int(found.id), number)
        self._connection.execute(
            insert_new(self._dialect, phone).values(
                sealed=self._seal.close(number.e164),
                number_index=index,
                last3=number.last3,
                region=number.region,
                added_at=now,
            )
        )
        return int(self._connection.execute(_PHONE_BY_INDEX, {"number_index": index}).scalar_one())

    def _known_again(self, phone_id: int, number: PhoneNumber) -> int:
        """Keep the number of a phone whose farmer was erased, now that somebody texts from it."""
        values = {"sealed": self._seal.close(number.e164), "last3": number.last3}
        self._connection.execute(update(phone).where(phone.c.id == phone_id).values(values))
        return phone_id

    def find_phone(self, number: PhoneNumber) -> int | None:
        """Return the id of the phone with that number, None if it has never been heard of."""
        index = self._seal.index(number.e164)
        found: int | None = self._connection.execute(_PHONE_BY_INDEX, {"number_index": index}).scalar()
        return found

    def on_phone(self, phone_id: int) -> tuple[PersonOnPhone, ...]:
        """Return the farmers a phone speaks for, in the order they joined."""
        rows = self._connection.execute(_PEOPLE_ON_PHONE, {"phone_id": phone_id})
        return tuple(
            PersonOnPhone(
                id=row.id,
                name=row.name,
                language=row.language,
                # A phone that was only asked has agreed to nothing, whatever another phone has.
                state=FarmerState.PENDING if row.role == ASKED else FarmerState(row.state),
                asked=row.role == ASKED,
                held_out=row.held_out,
                zone=row.zone,
                preferred=row.preferred,
                district=row.district,
                added_at=row.added_at,
                added_by=row.added_by,
                paused_until=row.paused_until,
            )
            for row in rows
        )

    def has_stopped(self, phone_id: int) -> bool:
        """Return whether a phone is on the stop list."""
        return self._connection.execute(_STOPPED, {"phone_id": phone_id}).first() is not None

    def stop(self, phone_id: int, now: datetime) -> None:
        """Put a phone on the stop list."""
        statement = insert_new(self._dialect, stop_list).from_select(
            ["number_index", "since"],
            select(phone.c.number_index, bindparam("now", now, type_=stop_list.c.since.type)).where(
                phone.c.id == phone_id
            ),
        )
        self._connection.execute(statement)

    def unstop(self, phone_id: int) -> None:
        """Take a phone off the stop list."""
        index = select(phone.c.number_index).where(phone.c.id == phone_id).scalar_subquery()
        self._connection.execute(delete(stop_list).where(stop_list.c.number_index == index))

    def link_phone(self, farmer_id: int, phone_id: int, *, role: str, preferred: bool, now: datetime) -> None:
        """Let a phone speak for a farmer; texts go to the preferred one."""
        self._connection.execute(
            insert_new(self._dialect, farmer_phone).values(
                farmer_id=farmer_id, phone_id=phone_id, role=role, preferred=preferred, since=now
            )
        )

    def prefer(self, farmer_id: int, phone_id: int) -> None:
        """Let a farmer's texts go to one of their phones and to no other."""
        self._connection.execute(
            update(farmer_phone)
            .where(farmer_phone.c.farmer_id == farmer_id)
            .values(preferred=farmer_phone.c.phone_id == phone_id)
        )

    def unlink(self, phone_id: int, now: datetime) -> None:
        """Let a phone speak for nobody from now on; whoever has another phone gets their texts there."""
        theirs = select(farmer_phone.c.farmer_id).where(
            farmer_phone.c.phone_id == phone_id, farmer_phone.c.until.is_(None)
        )
        for farmer_id in list(self._connection.execute(theirs).scalars()):
            other = select(farmer_phone.c.phone_id).where(
                farmer_phone.c.farmer_id == farmer_id,
                farmer_phone.c.phone_id != phone_id,
                farmer_phone.c.role != ASKED,
                farmer_phone.c.until.is_(None),
            )
            found = self._connection.execute(other.order_by(farmer_phone.c.since).limit(1)).scalar()
            if found is not None:
                self.prefer(farmer_id, found)
        here = and_(farmer_phone.c.phone_id == phone_id, farmer_phone.c.until.is_(None))
        self._connection.execute(update(farmer_phone).where(here).values(until=now))
