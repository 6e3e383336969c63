"""Phones, farmers, districts, consent and the stop list."""

from datetime import date, datetime
from typing import Unpack

from sqlalchemy import Connection, and_, bindparam, delete, insert, or_, select, update

from flows.facts import FarmerState
from service.core.changing import ASKED
from service.core.columns import FarmerChange
from service.core.folding import folded
from service.core.kinds import MessageState
from service.core.model import District, PersonOnPhone
from service.core.phone import PhoneNumber
from service.db.sealing import Seal
from service.db.tables.meta import only
from service.db.tables.outbox import message
from service.db.tables.people import consent, district, farmer, farmer_phone, phone, stop_list
from service.db.tables.plots import plot
from service.db.tables.speech import inbound
from service.db.tables.staff import officer
from service.db.upsert import insert_new

# A text that may still be sent, or sent again, must keep its words.
_DISTRICTS = select(district).order_by(district.c.id)
_MAY_STILL_LEAVE = (MessageState.DUE, MessageState.SUBMITTING, MessageState.IN_DOUBT)
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


class People:
    """Who there is and how they are reached."""

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

    def districts(self) -> tuple[District, ...]:
        """Return all districts in the order they were added, which is how they are numbered to farmers."""
        rows = self._connection.execute(_DISTRICTS)
        return tuple(
            District(
                id=row.id,
                name=row.name,
                zone=row.zone,
                elevation_m=row.elevation_m,
                latitude=row.latitude,
            )
            for row in rows
        )

    def add_district(
        self, name: str, zone: str, elevation_m: int | None, latitude: int | None = None
    ) -> None:
        """Add a district unless there is one of that name."""
        new = {"name": name, "zone": zone, "elevation_m": elevation_m, "latitude": latitude}
        self._connection.execute(insert_new(self._dialect, district).values(new))

    def add_farmer(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        name: str,
        language: str,
        district_id: int,
        state: FarmerState,
        now: datetime,
        pending_until: datetime | None,
    ) -> None:
        """Add a farmer."""
        self._connection.execute(
            insert(farmer).values(
                id=id,
                name=name,
                language=language,
                district_id=district_id,
                state=state,
                added_at=now,
                pending_until=pending_until,
            )
        )

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

    def set_farmer(self, farmer_id: int, **values: Unpack[FarmerChange]) -> None:
        """Set columns of a farmer; how a name is searched follows from it."""
        sought = {"sought": folded(values["name"])} if "name" in values else {}
        self._connection.execute(update(farmer).where(farmer.c.id == farmer_id).values(**values, **sought))

    def silent_since(self, now: datetime) -> tuple[tuple[int, int], ...]:
        """Return (farmer, phone) of those who were asked for consent and have let the time pass."""
        rows = self._connection.execute(
            select(farmer.c.id, farmer_phone.c.phone_id)
            .join(farmer_phone, farmer_phone.c.farmer_id == farmer.c.id)
            .where(farmer.c.state == only(FarmerState.PENDING), farmer.c.pending_until <= now)
            .order_by(farmer.c.id)
        )
        return tuple((row.id, row.phone_id) for row in rows)

    def set_state(self, farmer_id: int, state: FarmerState) -> None:
        """Set where a farmer stands; only a pending one has a day until which it may stay so."""
        self._connection.execute(
            update(farmer).where(farmer.c.id == farmer_id).values(state=state, pending_until=None)
        )

    def forget(self, farmer_id: int, *, but_inbound: int | None) -> None:
        """Erase a farmer who has not said yes: name, plots and what was texted; the consent rows stay as evidence.

        The texts of a phone that speaks for nobody else all go; `but_inbound` is the text being answered.
        """
        phones = select(farmer_phone.c.phone_id).where(farmer_phone.c.farmer_id == farmer_id)
        shared = select(farmer_phone.c.phone_id).where(
            farmer_phone.c.phone_id.in_(phones), farmer_phone.c.farmer_id != farmer_id
        )
        theirs = or_(inbound.c.farmer_id == farmer_id, inbound.c.phone_id.not_in(shared))
        texts = select(inbound.c.id).where(
            inbound.c.phone_id.in_(phones), theirs, inbound.c.id != (but_inbound or 0)
        )
        found = list(self._connection.execute(texts).scalars())
        answers = and_(message.c.inbound_id.in_(found), message.c.state.not_in(_MAY_STILL_LEAVE))
        self._connection.execute(update(message).where(answers).values(text=""))
        self._connection.execute(
            update(inbound).where(inbound.c.id.in_(found)).values(raw=b"", text="", read_json=None)
        )
        self._connection.execute(delete(plot).where(plot.c.farmer_id == farmer_id))
        self._connection.execute(delete(farmer_phone).where(farmer_phone.c.farmer_id == farmer_id))
        self._connection.execute(
            update(farmer)
            .where(farmer.c.id == farmer_id)
            .values(name="", sought="", state=FarmerState.ERASED, pending_until=None)
        )

    def add_consent(
        self,
        *,
        id: int,  # noqa: A002 - the column's name
        phone_id: int,
        farmer_id: int,
        answer: str,
        text_id: str | None,
        text_shown: str | None,
        inbound_id: int | None,
        at: datetime,
        on_day: date,
        purpose: str = "texts",
        way: str = "sms",
        officer_id: int | None = None,
    ) -> None:
        """Keep evidence of what was asked or answered, and how, about being texted or, as `purpose`, warned."""
        self._connection.execute(
            insert(consent).values(
                id=id,
                phone_id=phone_id,
                farmer_id=farmer_id,
                purpose=purpose,
                answer=answer,
                way=way,
                text_id=text_id,
                text_shown=text_shown,
                inbound_id=inbound_id,
                officer_id=officer_id,
                at=at,
                on_day=on_day,
            )
        )
