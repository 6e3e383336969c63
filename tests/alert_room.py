"""An officer's desk over a village: officers, farmers and alerts in one line each."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from itertools import count as numbers
from typing import Any

from sqlalchemy import insert, update

from flows.facts import FarmerState
from scheduler.alerting import advance_alerts
from service.core.alerts import Alert, AlertRules, Audience, Count
from service.core.phone import read_number
from service.core.rights import Role
from service.core.staff import Officer
from service.db.tables.people import farmer
from service.db.tables.staff import officer, officer_district
from service.use_cases.alerts import deciding, drafting, previewing
from service.use_cases.alerts.counting import count
from service.use_cases.alerts.drafting import Order
from service.use_cases.alerts.previewing import Preview
from service.use_cases.tools import Tools
from tests.village import DISTRICTS, Phone, Village

# Ids in the order the village adds them.
DISTRICT_IDS = {name: number for number, (name, _) in enumerate(DISTRICTS, start=1)}


@dataclass
class AlertRoom:
    """Writes and sends alerts for a test."""

    village: Village
    _keys: Any = field(default_factory=lambda: numbers(1))
    _ids: Any = field(default_factory=lambda: numbers(9001))

    @property
    def now(self) -> datetime:
        """The instant of the village's clock."""
        return self.village.clock.now()

    def officer(self, *districts: str, name: str = "Asha Mlima", role: Role = Role.OFFICER) -> Officer:
        """Add an officer with these districts; an administrator has all of them."""
        officer_id = next(self._ids)
        ids = frozenset(DISTRICT_IDS[one] for one in districts)
        with self.village.database.engine.begin() as connection:
            connection.execute(
                insert(officer).values(
                    id=officer_id, name=f"{name} {officer_id}", role=role, added_at=self.now
                )
            )
            for one in ids:
                connection.execute(insert(officer_district).values(officer_id=officer_id, district_id=one))
        everywhere = role is Role.ADMINISTRATOR
        return Officer(id=officer_id, name=name, role=role, districts=None if everywhere else ids)

    def farmer(
        self,
        name: str,
        *,
        district: str = "Ketumali",
        language: str = "en",
        state: FarmerState = FarmerState.ACTIVE,
        phone: Phone | None = None,
        preferred: bool = True,
        **columns: object,
    ) -> Phone:
        """Add a farmer and return the phone; other columns of the farmer by name."""
        held = phone or self.village.phone()
        farmer_id = next(self._ids)
        with self.village.database.work() as work:
            work.people.add_farmer(
                id=farmer_id,
                name=name,
                language=language,
                district_id=DISTRICT_IDS[district],
                state=state,
                now=self.now,
                pending_until=None,
            )
            phone_id = work.people.phone_for(read_number(held.number, "TZ"), self.now)
            work.people.link_phone(farmer_id, phone_id, role="own", preferred=preferred, now=self.now)
            work.commit()
        if columns:
            with self.village.database.engine.begin() as connection:
                connection.execute(update(farmer).where(farmer.c.id == farmer_id).values(**columns))
        return held

    def order(self, *districts: str, **given: Any) -> Order:  # noqa: ANN401 - the fields of an order
        """Return an order; what is not given is a frost warning of use for eight hours."""
        audience: Mapping[str, Any] = given.pop("audience", {})
        free = "words" in given
        values: dict[str, Any] = {
            "idem_key": f"form-{next(self._keys)}",
            "audience": Audience(districts=frozenset(DISTRICT_IDS[one] for one in districts), **audience),
            "template": None if free else "frost",
            "on": self.village.today,
            "figure": -1,
            "words": {},
            "useless_after": self.now + timedelta(hours=8),
        }
        return Order(**{**values, **given})

    def draft(self, who: Officer, order: Order) -> Alert:
        """Keep an order as a draft."""
        with self.village.database.work() as work:
            return drafting.draft(work, self.village.tools, who, order, self.now)

    def redraft(self, who: Officer, alert: Alert, order: Order) -> Alert:
        """Put another order into a draft."""
        with self.village.database.work() as work:
            return drafting.redraft(work, self.village.tools, who, alert.id, order, now=self.now)

    def tools_with(self, **rules: Any) -> Tools:  # noqa: ANN401 - the fields of the rules
        """Return the village's tools under other rules for alerts."""
        tools = self.village.tools
        return replace(tools, programme=replace(tools.programme, alerts=AlertRules(**rules)))

    def preview(self, alert: Alert) -> Preview:
        """Return what a draft would do."""
        with self.village.database.look() as work:
            return previewing.preview(work, self.village.tools, alert, self.now)

    def confirm(
        self, who: Officer, alert: Alert, *, anyway: str | None = None, in_the_morning: bool = False
    ) -> Alert:
        """Confirm a draft as it was shown."""
        with self.village.database.work() as work:
            return deciding.confirm(
                work,
                self.village.tools,
                who,
                alert.id,
                digest=alert.digest,
                now=self.now,
                anyway=anyway,
                in_the_morning=in_the_morning,
            )

    def approve(self, who: Officer, alert: Alert) -> Alert:
        """Approve an alert as it was shown."""
        with self.village.database.work() as work:
            return deciding.approve(
                work, self.village.tools, who, alert.id, digest=alert.digest, now=self.now
            )

    def take_over(self, who: Officer, alert: Alert, *, digest: str | None = None) -> Alert:
        """Take a parked alert over as it was shown."""
        with self.village.database.work() as work:
            return deciding.take_over(
                work, self.village.tools, who, alert.id, digest=digest or alert.digest, now=self.now
            )

    def pause(self, who: Officer, alert: Alert) -> Alert:
        """Pause an alert."""
        with self.village.database.work() as work:
            return deciding.pause(work, who, alert.id, self.now)

    def resume(self, who: Officer, alert: Alert) -> Alert:
        """Resume an alert."""
        with self.village.database.work() as work:
            return deciding.resume(work, self.village.tools, who, alert.id, self.now)

    def call_off(self, who: Officer, alert: Alert) -> Alert:
        """Call an alert off."""
        with self.village.database.work() as work:
            return deciding.call_off(work, who, alert.id, self.now)

    def send(self, who: Officer, *districts: str, **given: Any) -> Alert:  # noqa: ANN401 - as order
        """Write and confirm an alert, let its waiting time pass, and make its messages."""
        alert = self.confirm(who, self.draft(who, self.order(*districts, **given)))
        self.village.clock.advance(timedelta(minutes=2))
        self.tick()
        return self.kept(alert)

    def tick(self, *, chunk: int = 10_000) -> int:
        """Do what a tick does for alerts."""
        return advance_alerts(self.village.database, self.village.tools, self.now, chunk=chunk)

    def kept(self, alert: Alert) -> Alert:
        """Return an alert as it stands."""
        with self.village.database.look() as work:
            found = work.alerts.look(alert.id)
        assert found is not None
        return found

    def count(self, alert: Alert) -> Count:
        """Return how an alert goes."""
        with self.village.database.look() as work:
            return count(work, alert.id, self.kept(alert).state)

    def phone_id(self, phone: Phone) -> int:
        """Return a phone's row."""
        with self.village.database.look() as work:
            found = work.people.find_phone(read_number(phone.number, "TZ"))
        assert found is not None
        return found


def summed(counted: Count) -> int:
    """Return the sum that must be the audience at every moment."""
    return sum(
        (
            counted.waiting,
            counted.sent,
            counted.failed,
            counted.cancelled,
            counted.in_doubt,
            counted.left_out,
        )
    )
