"""A small village for functional tests: the real service on a real database, its phones, and a clock moved by hand.

Everything is what runs in production but for three things: the network is the simulator inside this process, the
clock is a `HandClock`, and the worker's threads are called one after the other so that a test needs no waiting.
"""

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from functools import cache
from zoneinfo import ZoneInfo

from sqlalchemy import bindparam, text

from flows.catalogue import load_catalogue
from flows.offers import load_offers
from flows.reader import load_packs
from flows.states import IDLE, Conversation
from flows.wording import Wording
from scheduler.alerting import advance_alerts
from scheduler.merge import merge_due
from scheduler.receiver import Receiver
from scheduler.sender import Sender
from scheduler.sweep import plan_due
from service.agronomy.calendar import Calendar, load_calendar
from service.clock import HandClock
from service.core.gateway import InboundText
from service.core.phone import read_number
from service.db.migrate import current, migrate
from service.db.sealing import Seal
from service.db.work import Database
from service.gateways.simulator import SimulatorGateway
from service.gateways.simulator_faults import NO_FAULTS, Faults
from service.gateways.simulator_network import SimulatedNetwork
from service.gateways.simulator_texts import HandsetText
from service.ids import CountingIds
from service.use_cases.pending import forget_silent
from service.use_cases.receiving import store
from service.use_cases.resending import settle_doubts
from service.use_cases.tools import Programme, ReplyLimits, Tools
from service.use_cases.upkeep import tidy

ZONE = "Africa/Dar_es_Salaam"
PACKS = load_packs()
OFFERS = load_offers(PACKS)
SERVICE_NUMBER = "15077"
# Wednesday, ten in the morning in the village.
START = datetime(2026, 11, 25, 7, 0, tzinfo=UTC)
SEAL = Seal(sealing_key=b"s" * 32, index_key=b"i" * 32)
TALKATIVE = ReplyLimits(an_hour=1000, a_minute=100_000)
DISTRICTS = (("Zaruvi", 1650), ("Ketumali", 1900), ("Ndaliro", 2150), ("Shumbeka", 1450))


@dataclass
class Village:
    """The service and all that is around it."""

    database: Database
    clock: HandClock
    tools: Tools
    gateway: SimulatorGateway
    sender: Sender
    receiver: Receiver
    _numbers: int = field(default=0)

    def phone(self) -> "Phone":
        """Return a new phone nobody has used."""
        self._numbers += 1
        return Phone(village=self, number=f"+2556212345{self._numbers:02d}")

    @property
    def today(self) -> date:
        """The village's day."""
        return self.clock.now().astimezone(ZoneInfo(ZONE)).date()

    def work_through(self) -> None:
        """Let the worker do all there is to do at this moment."""
        now = self.clock.now()
        for calendar in self.tools.calendars:
            plan_due(self.database, calendar, now)
        merge_due(self.database, self.tools, now)
        advance_alerts(self.database, self.tools, now)
        with self.database.work() as work:
            settle_doubts(work, now)
        with self.database.work() as work:
            tidy(work, self.tools, now)
        self.hear_and_answer()

    def hear_and_answer(self) -> None:
        """Let the worker take in what phones and network say, and send what there is to send."""
        self.receiver.take_in()
        self.receiver.answer_all()
        self.sender.drain()
        self.receiver.take_in()

    def pass_hours(self, hours: int) -> None:
        """Let hours pass, the worker ticking in each."""
        for _ in range(hours):
            self.clock.advance(timedelta(hours=1))
            self.work_through()

    def pass_days(self, days: int) -> None:
        """Let days pass; the worker ticks at one in the night and at eight in the morning."""
        for _ in range(days):
            for hour in (1, 8):
                here = self.clock.now().astimezone(ZoneInfo(ZONE))
                wanted = here.replace(hour=hour, minute=0, second=0, microsecond=0)
                if wanted <= here:
                    wanted += timedelta(days=1)
                self.clock.set(wanted)
                self.work_through()

    def deliver(self, phone: "Phone", words: str, ref: str) -> bool:
        """Hand over a text as a gateway does that has given it `ref`; return whether the service took it as new."""
        now = self.clock.now()
        event = InboundText(
            event_id=ref,
            message_ref=ref,
            source=phone.number,
            destination=SERVICE_NUMBER,
            text=words,
            received_at=now,
        )
        with self.database.work() as work:
            taken = store(work, self.tools, event, now, now)
            work.commit()
        return taken

    def forget_silent(self) -> int:
        """Let the service give up waiting for those who never answered."""
        with self.database.work() as work:
            return forget_silent(work, self.tools, self.clock.now())

    def link(self, name: str, phone: "Phone", *, preferred: bool = False) -> None:
        """Let another phone speak for a farmer, as an officer would see to it."""
        farmer_id = self.row("SELECT id FROM farmer WHERE name = :name", name=name)["id"]
        with self.database.work() as work:
            now = self.clock.now()
            phone_id = work.people.phone_for(read_number(phone.number, "TZ"), now)
            assert isinstance(farmer_id, int)
            work.people.link_phone(farmer_id, phone_id, role="own", preferred=preferred, now=now)
            work.commit()

    def rows(self, statement: str, **values: object) -> list[dict[str, object]]:
        """Look into the database, for what no screen shows."""
        # Bound with their types: a day is written as the service writes it.
        bound = text(statement).bindparams(*(bindparam(name, value) for name, value in values.items()))
        with self.database.engine.connect() as connection:
            return [dict(row._mapping) for row in connection.execute(bound)]

    def row(self, statement: str, **values: object) -> dict[str, object]:
        """Return the one row there must be."""
        (found,) = self.rows(statement, **values)
        return found


@dataclass
class Phone:
    """A feature phone in someone's hand."""

    village: Village
    number: str

    def says(self, words: str) -> str:
        """Text the service and return what it answers, all its texts joined; "" if it answers nothing."""
        before = len(self.texts)
        self.village.gateway.text_in(source=self.number, destination=SERVICE_NUMBER, text=words)
        self.village.hear_and_answer()
        return "\n".join(self.texts[before:])

    @property
    def received(self) -> tuple[HandsetText, ...]:
        """All texts with their times and parts."""
        return self.village.gateway.inbox(self.number)

    @property
    def texts(self) -> list[str]:
        """The words of all texts received so far."""
        return [one.text for one in self.received]

    @property
    def last(self) -> str:
        """The words of the newest text."""
        return self.texts[-1]

    @property
    def talk(self) -> Conversation:
        """What is open on this phone."""
        with self.village.database.look() as work:
            phone_id = work.people.find_phone(read_number(self.number, "TZ"))
            return work.talks.open_on(phone_id, self.village.clock.now()) if phone_id else IDLE

    def joins(
        self, *, name: str = "Neema", plants: int = 400, days_ago: int = 60, language: str = "en"
    ) -> str:
        """Join with everything in one text, and say yes."""
        planted = self.village.today - timedelta(days=days_ago)
        word, yes = {"en": ("JOIN", "YES"), "sw": ("JIUNGE", "NDIYO")}[language]
        self.says(f"{word} {name} {plants} {planted:%d/%m/%Y} Ketumali")
        return self.says(yes)


@cache
def _wording() -> Wording:
    """Read the texts once for all villages; nothing changes them."""
    return Wording(load_catalogue())


@cache
def _calendar() -> Calendar:
    """Read the calendar once for all villages; nothing changes it."""
    return load_calendar()


def build_village(
    url: str,
    *,
    faults: Faults = NO_FAULTS,
    seed: int = 1,
    start: datetime = START,
    limits: ReplyLimits = TALKATIVE,
    service_number: str = SERVICE_NUMBER,
) -> Village:
    """Put a village together on the database at `url`; its people may text as often as a test wants them to."""
    clock = HandClock(start)
    database = Database(url, SEAL, clock)
    # Most are copies of one that was migrated.
    if current(database.engine) is None:
        migrate(database.engine)
    with database.work() as work:
        for name, elevation in DISTRICTS:
            work.people.add_district(name, ZONE, elevation)
        work.commit()
    network = SimulatedNetwork(seed=seed, faults=faults, ids=CountingIds())
    gateway = SimulatorGateway(network, clock=clock.now)
    programme = Programme(
        name="Zaruvi Berry Programme",
        region="TZ",
        zone=ZONE,
        language="en",
        emergency_number=None,
        compost_handfuls=2,
        gateway=gateway.name,
        service_number=service_number,
        limits=limits,
    )
    tools = Tools(
        programme=programme,
        wording=_wording(),
        packs=PACKS,
        offers=OFFERS,
        calendar=_calendar(),
        ids=CountingIds(),
    )
    return Village(
        database=database,
        clock=clock,
        tools=tools,
        gateway=gateway,
        sender=Sender(database, tools, gateway, clock, window=8, per_second=1000),
        receiver=Receiver(database, tools, gateway, clock),
    )
