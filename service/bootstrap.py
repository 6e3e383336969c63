"""The one place where the service is put together: settings choose the parts, everything else is handed them."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from typing import Final

from flows.catalogue import Catalogue, load_catalogue
from flows.offers import load_offers
from flows.reader import load_packs
from flows.texts import TEXTS
from flows.wording import Wording
from service.agronomy.calendar import (
    DEFAULT_CALENDAR,
    Calendar,
    CalendarError,
    load_calendar,
    load_for_place,
)
from service.backups import restore_advice
from service.beginning import keys_of, no_database
from service.clock import BootClock, Clock, RealClock, ShiftedClock, SteadyClock
from service.core.alerts import AlertRules
from service.core.caps import Caps
from service.core.currencies import currency_in, currency_of
from service.core.errors import Refused, SettingError
from service.core.gateway import Gateway
from service.core.journal import Journal
from service.core.phone import PhoneNumber
from service.db.migrate import DamagedDatabase, current, migrate, newest
from service.db.only_one import only_one
from service.db.work import Database
from service.demo_data import PHONES, REGION
from service.gateways.choice import make_gateway, simulator, why_not
from service.gateways.simulator_link import SimulatorLink
from service.ids import Ids
from service.journal import FileJournal
from service.keys import take_into_use
from service.passwords import Argon2
from service.settings import Settings
from service.space import Room
from service.use_cases.tools import Programme, ReplyLimits, Tools, place_word

OFFSET: Final = "clock_offset_hours"
_MEGABYTE: Final = 1024 * 1024


@dataclass(frozen=True, kw_only=True, slots=True)
class PracticePhone:
    """One phone of the demo; see `service.web.house`."""

    slot: int
    label: str
    number: str
    phone_id: int | None

    def __repr__(self) -> str:
        """Never show the number."""
        return f"PracticePhone({self.slot}, {self.label})"


@dataclass(frozen=True, kw_only=True, slots=True)
class House:
    """Everything that runs, put together."""

    settings: Settings
    database: Database
    real_clock: Clock
    service_clock: Clock
    ids: Ids
    calendar: Calendar
    catalogue: Catalogue
    tools: Tools
    gateway: Gateway
    network: SimulatorLink
    passwords: Argon2
    journal: Journal
    steady_clock: SteadyClock
    room: Room
    keys_were_made: bool

    @property
    def schema_head(self) -> str:
        """Return the newest migration this version knows."""
        return newest()

    def ready_database(self) -> None:
        """Bring the database to the newest version."""
        migrate(self.database.engine)
        self.database.hold_keys()
        take_into_use(self.settings.keys)

    def check_database(self) -> None:
        """Refuse a database that is not at this version, or whose numbers were sealed with other keys.

        Raises:
            Refused: it is at another version, or damaged.
            KeyFileError: the keys are others.
        """
        try:
            version = current(self.database.engine)
        except DamagedDatabase as error:
            raise Refused(f"{error} {self.restore_advice()}") from error
        if version is None:
            raise Refused(no_database(self.settings))
        if version != newest():
            raise Refused("The database is not at this version: run trussline migrate.")
        self.database.hold_keys()

    def restore_advice(self) -> str:
        """Say which backup to put back in place of a damaged database."""
        return restore_advice(self.settings.journal)

    def gateway_refusals(self) -> tuple[str, ...]:
        """Return why nothing may leave through the gateway of the settings, a sentence each; none if it may."""
        with self.database.look() as work:
            demo_data = work.staff.setting(OFFSET) is not None
        return why_not(self.settings, self.catalogue, demo_data=demo_data)

    def check_gateway(self) -> None:
        """Refuse a gateway that reaches real phones while something forbids it.

        Raises:
            Refused: a sentence for each thing to be seen to.
        """
        reasons = self.gateway_refusals()
        if reasons:
            raise Refused("\n".join(reasons))

    @contextmanager
    def only_worker(self) -> Iterator[None]:
        """Hold the lock that only one worker can have."""
        with only_one(self.database.engine):
            yield

    def move_clock(self, step: timedelta) -> None:
        """Move the demo's service time forward.

        Raises:
            Refused: this is no demo, where only real time counts.
        """
        if not self.settings.demo:
            raise Refused("Only the demo's clock can be moved.")
        with self.database.work() as work:
            hours = int(work.staff.setting(OFFSET) or 0) + step // timedelta(hours=1)
            work.staff.put_setting(OFFSET, str(hours))
            work.commit()

    def practice_phones(self) -> Sequence[PracticePhone]:
        """Return the demo's phones by slot; none outside a demo."""
        if not self.settings.demo:
            return ()
        with self.database.look() as work:
            return tuple(
                PracticePhone(
                    slot=slot,
                    label=one.label,
                    number=one.number,
                    phone_id=work.people.find_phone(PhoneNumber(one.number, REGION)),
                )
                for slot, one in enumerate(PHONES, start=1)
            )

    def close(self) -> None:
        """Let go of database, gateway and practice phones."""
        self.gateway.close()
        self.network.close()
        self.database.close()


def build(settings: Settings) -> House:
    """Put the service together.

    Raises:
        TrusslineError: a setting, the key file, a catalogue or the calendar is not as it should be; its message is one
            sentence for the administrator.
    """
    real = RealClock()
    seal, made = keys_of(settings)
    database = Database(settings.database, seal, real)
    clock: Clock = ShiftedClock(real, lambda: _offset(database)) if settings.demo else real
    ids = Ids()
    catalogue = load_catalogue(default=settings.language)
    tools = gather_tools(settings, catalogue, ids)
    gateway = make_gateway(settings, clock)
    return House(
        settings=settings,
        database=database,
        real_clock=real,
        service_clock=clock,
        ids=ids,
        calendar=tools.calendar,
        catalogue=catalogue,
        tools=tools,
        gateway=gateway,
        network=simulator(settings, clock),
        passwords=Argon2(),
        journal=FileJournal(settings.journal),
        steady_clock=BootClock(),
        room=Room(settings.data_dir, settings.least_free_mb * _MEGABYTE),
        keys_were_made=made,
    )


def gather_tools(settings: Settings, catalogue: Catalogue, ids: Ids) -> Tools:
    """Put together what needs neither database nor gateway.

    Raises:
        TrusslineError: the calendar or a language pack is not as it should be.
    """
    packs = load_packs()
    return Tools(
        programme=_programme(settings),
        wording=Wording(catalogue),
        packs=packs,
        offers=load_offers(packs),
        calendar=_calendar(settings.calendar_file or DEFAULT_CALENDAR),
        in_places=_in_places(settings),
        ids=ids,
    )


def _in_places(settings: Settings) -> dict[str, Calendar]:
    """Read the calendars of districts that have days of their own: they change jobs and add none."""
    folder, programme = settings.calendars_dir, settings.calendar_file or DEFAULT_CALENDAR
    if folder is None:
        return {}
    if not folder.is_dir():
        raise SettingError(
            f"The folder of the setting calendars_dir is not there: make {folder}, or leave it out."
        )
    words = {path: place_word(path.stem) for path in sorted(folder.glob("*.toml"))}
    return {word: load_for_place(path, programme, word) for path, word in words.items()}


def _texts_of(task: str) -> frozenset[str]:
    return frozenset((f"task.{task}.label", f"task.{task}.text"))


def _calendar(path: Path) -> Calendar:
    calendar = load_calendar(path)
    unsaid = next((task.id for task in calendar.tasks if not _texts_of(task.id) <= TEXTS.keys()), None)
    if unsaid is not None:
        raise CalendarError(
            path,
            f"task {unsaid!r}",
            "no text says this job yet, so take it out or add its label and text to flows",
        )
    return calendar


def _programme(settings: Settings) -> Programme:
    return Programme(
        name=settings.programme,
        region=settings.region,
        zone=settings.zone,
        language=settings.language,
        emergency_number=settings.emergency_number or None,
        longest_hold=settings.longest_hold_days,
        compost_handfuls=settings.compost_handfuls,
        gateway=settings.gateway,
        service_number=settings.service_number,
        answer_days=settings.answer_days,
        delivery_wait=settings.delivery_wait_minutes,
        currency=currency_of(settings.currency or currency_in(settings.region)),
        caps=Caps(
            day=settings.cap_day,
            alert=settings.cap_alert,
            officer=settings.cap_officer,
            farmer=settings.cap_farmer,
        ),
        limits=ReplyLimits(an_hour=settings.replies_an_hour, a_minute=settings.replies_a_minute),
        alerts=AlertRules(
            wait=timedelta(seconds=settings.alert_wait_seconds),
            second_person_above=settings.alert_second_person_above,
            per_second=settings.sender_rate,
        ),
    )


def _offset(database: Database) -> timedelta:
    with database.look() as work:
        return timedelta(hours=int(work.staff.setting(OFFSET) or 0))
