"""Farmers, districts and consent, with the phones that farmers are reached by."""

from datetime import date, datetime
from typing import Unpack

from sqlalchemy import and_, delete, insert, or_, select, update

from flows.facts import FarmerState
from service.core.columns import FarmerChange
from service.core.folding import folded
from service.core.kinds import MessageState
from service.core.model import District
from service.db.queries.phones import Phones
from service.db.tables.meta import only
from service.db.tables.outbox import message
from service.db.tables.people import consent, district, farmer, farmer_phone
from service.db.tables.plots import plot
from service.db.tables.speech import inbound
from service.db.upsert import insert_new

_DISTRICTS = select(district).order_by(district.c.id)
# A text that may still be sent, or sent again, must keep its words.
_MAY_STILL_LEAVE = (MessageState.DUE, MessageState.SUBMITTING, MessageState.IN_DOUBT)


class People(Phones):
    """Who there is, and, by `Phones`, how they are reached."""

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

    def has_farmers(self, district_id: int) -> bool:
        """Return whether anybody has joined in a district."""
        found = select(farmer.c.id).where(farmer.c.district_id == district_id).limit(1)
        return self._connection.execute(found).first() is not None

    def change_district(self, before: District, after: District) -> int:
        """Keep where a district lies, and let plots lie as high that were taken to lie as it did; return how many."""
        columns = {"zone": after.zone, "elevation_m": after.elevation_m, "latitude": after.latitude}
        self._connection.execute(update(district).where(district.c.id == before.id).values(columns))
        if after.elevation_m == before.elevation_m:
            return 0
        there = select(farmer.c.id).where(farmer.c.district_id == before.id)
        moved = self._connection.execute(
            update(plot)
            .where(plot.c.farmer_id.in_(there), plot.c.elevation_m.is_not_distinct_from(before.elevation_m))
            .values(elevation_m=after.elevation_m)
        )
        return moved.rowcount

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
