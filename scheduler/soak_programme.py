"""The throw-away programme of a soak, and one life of the process that sends its alert.

The farmers are invented; officers and alert are made by the very use cases of the pages.
"""

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from flows.catalogue import load_catalogue
from flows.facts import FarmerState
from flows.offers import load_offers
from flows.reader import load_packs
from flows.wording import Wording
from scheduler.alerting import advance_alerts
from scheduler.sender import Sender
from scheduler.soak_peer import SERVICE_NUMBER, Peer
from service.agronomy.calendar import load_calendar
from service.clock import HandClock, local_day
from service.core.alert_states import ENDED, AlertState, IllegalMove
from service.core.alerts import Alert, Audience, Count
from service.core.errors import Refused
from service.core.phone import read_number
from service.core.rights import Role
from service.core.staff import Officer
from service.db.migrate import migrate
from service.db.work import Database, Work
from service.ids import Ids, one_time_code
from service.journal import FileJournal
from service.use_cases.alerts import deciding, drafting
from service.use_cases.alerts.counting import count
from service.use_cases.alerts.drafting import LONGEST_USE, Order
from service.use_cases.districts import add_district
from service.use_cases.lost_sprays import holds_again
from service.use_cases.officers import add_officer
from service.use_cases.reconciling import compare
from service.use_cases.resending import settle_doubts
from service.use_cases.tools import Programme, Tools

ZONE: Final = "Africa/Dar_es_Salaam"
DISTRICTS: Final = ("Zaruvi", "Ketumali")
LANGUAGES: Final = ("en", "sw")
# Eight in the morning in the villages.
MORNING: Final = datetime(2026, 11, 25, 5, 0, tzinfo=UTC)
_WORDS: Final = {"en": "Cover the rows tonight.", "sw": "Funika mistari usiku huu."}
_CALLED: Final = "+255621"
MOST_FARMERS: Final = 1_000_000
_AT_ONCE: Final = 1000.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan:
    """What is sent to whom.

    Attributes:
        farmers: how many there are, evenly over both districts and both languages, a phone each.
        districts: how many districts the alert is for.
        urgent: the urgent template, whose texts go again after a doubt; else own words, whose texts never do.
    """

    farmers: int
    districts: int
    urgent: bool


class Soaked:
    """The programme: makes the alert, and knows how it stands."""

    def __init__(self, open_database: Callable[[], Database], folder: Path, peer: Peer) -> None:
        """Stand on what `open_database` opens; each process opens it anew."""
        self._open = open_database
        self._folder = folder
        self._peer = peer
        self._tools = _tools(peer.gateway_name)

    def found(self, plan: Plan) -> tuple[Alert, Officer]:
        """Make the database, its farmers and officers, and a confirmed alert."""
        database = self._open()
        migrate(database.engine)
        with database.work() as work:
            for name in DISTRICTS:
                places = add_district(work, name=name, zone=ZONE, elevation_m=None)
            self._add_farmers(work, plan.farmers, [place.id for place in places])
            chosen = frozenset(place.id for place in places[: plan.districts])
            officer, second = (
                add_officer(work, name=name, code=one_time_code(), now=MORNING, role=Role.ADMINISTRATOR)
                for name in ("Asha Mlima", "Baraka Mto")
            )
        with database.work() as work:
            alert = drafting.draft(work, self._tools, officer, _order(plan, chosen), MORNING)
        with database.work() as work:
            alert = deciding.confirm(work, self._tools, officer, alert.id, digest=alert.digest, now=MORNING)
        if alert.state is AlertState.WAITING_APPROVAL:
            with database.work() as work:
                alert = deciding.approve(
                    work, self._tools, second, alert.id, digest=alert.digest, now=MORNING
                )
        database.close()
        return alert, officer

    def _add_farmers(self, work: Work, farmers: int, districts: list[int]) -> None:
        for number in range(farmers):
            farmer_id = self._tools.ids.row()
            work.people.add_farmer(
                id=farmer_id,
                name=f"Farmer {number}",
                language=LANGUAGES[number // len(districts) % len(LANGUAGES)],
                district_id=districts[number % len(districts)],
                state=FarmerState.ACTIVE,
                now=MORNING,
                pending_until=None,
            )
            phone_id = work.people.phone_for(read_number(f"{_CALLED}{number:06d}", "TZ"), MORNING)
            work.people.link_phone(farmer_id, phone_id, role="own", preferred=True, now=MORNING)
        work.commit()

    def count(self, alert_id: int) -> tuple[Count, bool]:
        """Return how the alert goes, and whether it has ended."""
        database = self._open()
        with database.look() as work:
            alert = work.alerts.look(alert_id)
            if alert is None:
                raise LookupError(f"alert {alert_id} is gone")
            counted = count(work, alert_id, alert.state)
        database.close()
        return counted, alert.state in ENDED

    def cancel(self, officer: Officer, alert_id: int, now: datetime) -> None:
        """Call off what has not left, unless the last text was quicker."""
        database = self._open()
        with suppress(IllegalMove), database.work() as work:
            deciding.call_off(work, officer, alert_id, now)
        database.close()

    def live(self, now: datetime, window: int) -> None:
        """Be the process that sends, from its start until nothing is left to do at this instant."""
        database = self._open()
        clock = HandClock(now)
        journal = FileJournal(self._folder / "journal")
        gateway = self._peer.connect(clock.now)
        with database.work() as work:
            if compare(work, journal, now, now, holds_again(work, self._tools, now)):
                raise Refused("The send journal knows texts that the database does not.")
        sender = Sender(
            database, self._tools, gateway, clock, window=window, per_second=_AT_ONCE, journal=journal
        )
        sender.recover()
        advance_alerts(database, self._tools, now)
        with database.work() as work:
            settle_doubts(work, now)
        while sender.drain():
            continue
        advance_alerts(database, self._tools, now)
        gateway.close()
        database.close()


def _order(plan: Plan, districts: frozenset[int]) -> Order:
    free = Order(
        idem_key="soak",
        audience=Audience(districts=districts),
        words=_WORDS,
        useless_after=MORNING + LONGEST_USE,
    )
    return (
        replace(free, template="frost", on=local_day(MORNING, ZONE), figure=-1, words={})
        if plan.urgent
        else free
    )


def _tools(gateway: str) -> Tools:
    programme = Programme(
        name="Zaruvi Berry Programme",
        region="TZ",
        zone=ZONE,
        language="en",
        emergency_number=None,
        compost_handfuls=2,
        gateway=gateway,
        service_number=SERVICE_NUMBER,
    )
    packs = load_packs()
    return Tools(
        programme=programme,
        wording=Wording(load_catalogue()),
        packs=packs,
        offers=load_offers(packs),
        calendar=load_calendar(),
        ids=Ids(),
    )


def lives_apart(plan: Plan) -> timedelta:
    """Return how long after one life the next begins: an urgent text in doubt is sent again only after a while."""
    return timedelta(minutes=3) if plan.urgent else timedelta(seconds=10)
