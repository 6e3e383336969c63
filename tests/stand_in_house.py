"""A house for tests of the pages: real database, calendar, texts and network, with clocks moved by hand.

What stands in the database is a small programme made up here, whose people cover what a page can show.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any, Unpack

from argon2 import PasswordHasher
from sqlalchemy import Table, delete, insert, select

from flows.catalogue import Catalogue, load_catalogue
from flows.trading import CostKind
from service import ids as secrets_of_the_service
from service.agronomy.calendar import Calendar, load_calendar
from service.agronomy.due import picking_text_day, season
from service.agronomy.traits import PlotTraits
from service.bootstrap import PracticePhone, gather_tools
from service.clock import HandClock
from service.core.alerts import AlertRules
from service.core.columns import PlotChange
from service.core.gateway import OutgoingText
from service.core.rights import Role
from service.core.weather_ports import DayWeather, ImportWay, NewBatch
from service.db.sealing import Seal
from service.db.tables import collections, dangers, metadata, money, outbox, people, plots, speech, sprays
from service.db.work import Database
from service.gateways.simulator import SimulatorGateway
from service.gateways.simulator_network import SimulatedNetwork
from service.ids import CountingIds
from service.passwords import Argon2
from service.settings import Settings
from service.use_cases.officers import Officer, add_officer
from service.use_cases.tools import Tools
from service.web.farmers.jobs import plot_days

ZONE = "Africa/Dar_es_Salaam"
# Wednesday 25 November 2026, 06:41 in Dar es Salaam.
NOW = datetime(2026, 11, 25, 3, 41, tzinfo=UTC)
TODAY = date(2026, 11, 25)
REAL_NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
# The region's example number with other last digits, see phonenumbers' example for TZ mobile.
NUMBERS = tuple(f"+2556212345{last:02d}" for last in range(60, 99))
HEAD = "test"
# Which of the many farmers has sprayed lately, and picked all the same.
_SPRAYED = 20
SEAL = Seal(sealing_key=b"s" * 32, index_key=b"i" * 32)


def quick_passwords() -> Argon2:
    """Return what hashes as in real use, but with so little work that a test need not wait."""
    return Argon2(PasswordHasher(time_cost=1, memory_cost=8, parallelism=1))


@dataclass(frozen=True, kw_only=True)
class StandInHouse:
    """What the pages need, put together for a test."""

    settings: Settings
    database: Database
    real_clock: HandClock = field(default_factory=lambda: HandClock(REAL_NOW))
    service_clock: HandClock = field(default_factory=lambda: HandClock(NOW))
    ids: CountingIds = field(default_factory=CountingIds)
    calendar: Calendar = field(default_factory=cache(load_calendar))
    catalogue: Catalogue = field(default_factory=cache(load_catalogue))
    network: SimulatorGateway
    passwords: Argon2 = field(default_factory=cache(quick_passwords))
    tools: Tools = field(init=False)
    phones: list[PracticePhone] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Put together what use cases are handed, from the same ids and texts."""
        tools = gather_tools(self.settings, self.catalogue, self.ids)
        object.__setattr__(self, "tools", tools)

    @property
    def schema_head(self) -> str:
        """The migration that the test's database claims to be at."""
        return HEAD

    def practice_phones(self) -> Sequence[PracticePhone]:
        """Return the phones the test has put on the shelf."""
        return self.phones

    def put(self, table: Table, **values: object) -> int:
        """Insert one row and return its id; an id that is not given is made up."""
        if "id" in table.c:
            values.setdefault("id", self.ids.row())
        with self.database.engine.begin() as connection:
            connection.execute(insert(table), values)
        return int(str(values.get("id", 0)))

    def remove(self, table: Table, row_id: int) -> None:
        """Delete one row."""
        with self.database.engine.begin() as connection:
            connection.execute(delete(table).where(table.c.id == row_id))

    def district_of(self, farmer_id: int) -> int:
        """Return the district of a farmer."""
        found = select(people.farmer.c.district_id).where(people.farmer.c.id == farmer_id)
        with self.database.engine.connect() as connection:
            return int(connection.execute(found).scalar_one())

    def change_plot(self, plot_id: int, **values: Unpack[PlotChange]) -> None:
        """Change columns of a plot."""
        with self.database.work() as work:
            work.plots.set(plot_id, **values)
            work.commit()

    def share_since(self, farmer_id: int, since: datetime) -> None:
        """Let a farmer's phones speak for them only since then."""
        links = people.farmer_phone
        with self.database.engine.begin() as connection:
            connection.execute(links.update().where(links.c.farmer_id == farmer_id).values(since=since))

    def setting(self, name: str, value: str) -> None:
        """Put a setting."""
        with self.database.work() as work:
            work.staff.put_setting(name, value)
            work.commit()

    def kept_setting(self, name: str) -> str | None:
        """Return a setting."""
        with self.database.look() as work:
            return work.staff.setting(name)

    def settle_alerts(self, **rules: Any) -> None:  # noqa: ANN401 - the fields of the rules
        """Put other rules for alerts in force."""
        programme = replace(self.tools.programme, alerts=AlertRules(**rules))
        object.__setattr__(self, "tools", replace(self.tools, programme=programme))

    def officer_code(
        self,
        name: str = "Officer Mlima",
        *,
        role: Role | None = None,
        districts: frozenset[int] = frozenset(),
    ) -> tuple[Officer, str]:
        """Add an officer and return them with a code that works; the first one is administrator."""
        code = secrets_of_the_service.one_time_code()
        with self.database.work() as work:
            officer = add_officer(
                work, name=name, code=code, now=self.real_clock.now(), role=role, districts=districts
            )
        with self.database.work() as work:
            # Whoever comes with a code here comes for the first time.
            work.logins.drop_second_factor(officer.id)
            work.commit()
        return officer, code

    def set_up_account(self, officer: Officer) -> None:
        """Give an officer a password and a second factor, which a programme that is no demo asks of them first."""
        with self.database.work() as work:
            work.logins.set_password(officer.id, self.passwords.hash("kettle orbit mustard"))
            work.logins.offer_second_factor(officer.id, b"12345678901234567890")
            work.logins.take_second_factor(officer.id, 0, [str(officer.id).encode()])
            work.commit()


def empty_database(url: str) -> None:
    """Make all tables at `url`."""
    database = Database(url, SEAL)
    metadata.create_all(database.engine)
    database.close()


def make_house(url: str, folder: Path, **settings: object) -> StandInHouse:
    """Return a house over a database at `url` that has its tables."""
    real = HandClock(REAL_NOW)
    database = Database(url, SEAL, real)
    given = {
        "programme": "Zaruvi Berry Programme",
        "demo": True,
        "zone": ZONE,
        "data_dir": folder,
        **settings,
    }
    clock = HandClock(NOW)
    network = SimulatorGateway(SimulatedNetwork(ids=CountingIds()), clock=clock.now)
    return StandInHouse(
        settings=Settings.model_validate(given),
        database=database,
        real_clock=real,
        service_clock=clock,
        network=network,
    )


class Planter:
    """Fills a house with districts, farmers and what they said; every method has sensible defaults."""

    def __init__(self, house: StandInHouse) -> None:
        """Fill `house`."""
        self.house = house
        with house.database.look() as work:
            known = {one.name: one.id for one in work.people.districts()}
        self.districts = known or {
            name: house.put(people.district, name=name, zone=ZONE, elevation_m=metres)
            for name, metres in (("Zaruvi", 1650), ("Ketumali", 1900), ("Ndaliro", 2150), ("Shumbeka", 1450))
        }
        self._numbers = iter(NUMBERS)

    def phone(self) -> int:
        """Add a phone."""
        number = next(self._numbers)
        return self.house.put(
            people.phone,
            sealed=SEAL.close(number),
            number_index=SEAL.index(number),
            last3=number[-3:],
            region="TZ",
            added_at=NOW - timedelta(days=300),
        )

    def farmer(
        self,
        name: str,
        *,
        district: str = "Ndaliro",
        state: str = "active",
        phone: int | None = None,
        language: str = "sw",
        **more: object,
    ) -> tuple[int, int]:
        """Add a farmer, `more` being columns of theirs; return the farmer's and the phone's id."""
        phone_id = phone or self.phone()
        farmer_id = self.house.put(
            people.farmer,
            name=name,
            language=language,
            district_id=self.districts[district],
            state=state,
            **more,
            added_at=NOW - timedelta(days=240),
        )
        self.house.put(
            people.farmer_phone,
            farmer_id=farmer_id,
            phone_id=phone_id,
            role="own",
            preferred=True,
            since=NOW - timedelta(days=240),
        )
        return farmer_id, phone_id

    def village(self, name: str, district: str = "Ndaliro") -> int:
        """Add a village."""
        return self.house.put(people.village, name=name, district_id=self.districts[district])

    def group(self, name: str, district: str = "Ndaliro") -> int:
        """Add a group."""
        return self.house.put(people.farmer_group, name=name, district_id=self.districts[district])

    def collection(self, farmer_id: int, group: str, district: str = "Ndaliro") -> tuple[int, int, int]:
        """Let a farmer's group be collected on Wednesdays and Saturdays; return group, collection and a payment.

        The farmer brought something a week ago, and was paid.
        """
        put = self.house.put
        group_id = self.group(group, district)
        with self.house.database.work() as work:
            officer = work.staff.officers()[0].id
            work.people.set_farmer(farmer_id, group_id=group_id)
            collection_id = work.collections.add(
                group_id=group_id,
                place=f"{district} store",
                weekdays=0b0100100,
                hour=10,
                first_on=TODAY - timedelta(days=28),
                last_on=None,
                officer_id=officer,
                at=NOW,
            )
            work.commit()
        money = {
            "farmer_id": farmer_id,
            "amount": 30_000,
            "currency": "TZS",
            "officer_id": officer,
            "at": NOW,
        }
        payment_id = put(collections.payment, paid_on=TODAY, **money)
        put(
            collections.delivery,
            collection_id=collection_id,
            day=TODAY - timedelta(days=7),
            accepted_g=12_000,
            rejected_g=500,
            reason="unripe",
            words="",
            under_hold=False,
            price=2500,
            payment_id=payment_id,
            **money,
        )
        return group_id, collection_id, payment_id

    def weather(self, district: str = "Ndaliro", *, ahead: int = 0, **figures: float) -> int:
        """Let weather of a day come in: measured, or forecast for so many days ahead; return its batch."""
        day = DayWeather(observed=ahead <= 0, issued_at=NOW if ahead > 0 else None, **figures)
        batch = NewBatch(
            district_id=self.districts[district],
            at=NOW,
            officer_id=None,
            way=ImportWay.COMMAND,
            file_name=f"{district}.csv",
            days={TODAY + timedelta(days=ahead): day},
            hours={},
        )
        with self.house.database.work() as work:
            number = work.weather_batches.keep(batch)
            work.commit()
        return number

    def danger(
        self,
        district: str = "Ndaliro",
        *,
        reason: str = "Forecast of 25 Nov, 06:00: lowest 1.4 °C.",
        level: int = 3,
        ahead: int = 1,
    ) -> int:
        """Let a cold night threaten a district, so many days from now; tonight is one."""
        return self.house.put(
            dangers.danger,
            district_id=self.districts[district],
            hazard="frost",
            day=TODAY + timedelta(days=ahead),
            level=level,
            figure=1,
            metres_from=None,
            reason=reason,
            state="open",
            found_at=NOW,
        )

    def plot(self, farmer_id: int, *, age: int = 212, plants: int = 450, live: bool = True) -> int:
        """Add a plot planted `age` days ago; its text day is Wednesday, its picking days Monday and Thursday."""
        return self.house.put(
            plots.plot,
            farmer_id=farmer_id,
            planted_on=TODAY - timedelta(days=age),
            precision="exact",
            plants=plants,
            mulch_kind="straw",
            traits=PlotTraits(mulch="straw").bits,
            zone=ZONE,
            calendar_id=self.house.calendar.id,
            text_day=2,
            picking_text_day=picking_text_day(2, {0, 3}),
            pick_days=0b0001001,
            prompt_days=0b0001001,
            live=live,
        )

    def weight(
        self,
        plot_id: int,
        phone_id: int,
        *,
        ago: int,
        grams: int,
        state: str = "counted",
        in_hold: bool = False,
        officer: int | None = None,
    ) -> int:
        """Add a weight picked `ago` days ago, told to an officer if one is given."""
        return self.house.put(
            plots.harvest,
            plot_id=plot_id,
            picked_on=TODAY - timedelta(days=ago),
            grams=grams,
            state=state,
            inbound_id=None if officer else 0,
            phone_id=None if officer else phone_id,
            officer_id=officer,
            at=NOW - timedelta(days=ago),
            in_hold=in_hold,
        )

    def spray(self, plot_id: int, *, ago: int, label_days: int | None = 7, hold: int = 7) -> int:
        """Add a spray of `ago` days ago that was told by text and holds picking back for `hold` days."""
        sprayed_on = TODAY - timedelta(days=ago)
        return self.house.put(
            sprays.spray,
            plot_id=plot_id,
            sprayed_on=sprayed_on,
            label_days=label_days,
            pick_from=sprayed_on + timedelta(days=hold),
            inbound_id=self.house.ids.row(),
            phone_id=0,
            at=NOW - timedelta(days=ago),
        )

    def money(self, plot_id: int) -> None:
        """Let sales of two months and a cost of each kind have been told for a plot."""
        told = {"plot_id": plot_id, "currency": "TZS", "inbound_id": 1, "phone_id": 1, "at": NOW}
        for ago, grams, minor in ((2, 42_500, 106_250), (9, 38_000, 91_200), (40, 51_250, 128_125)):
            on = TODAY - timedelta(days=ago)
            self.house.put(
                money.sale,
                **told,
                sold_on=on,
                grams=grams,
                minor=minor,
                buyer="mama Asha" if ago == 2 else None,
            )
        for place, kind in enumerate(CostKind):
            on = TODAY - timedelta(days=20 * place)
            self.house.put(money.cost, **told, spent_on=on, kind=kind, minor=4_500 * (place + 1))

    def price(self, district: str, market: str, minor: int, *, ago: int = 1) -> int:
        """Let a price of a kilo have been noted."""
        return self.house.put(
            money.price,
            district_id=self.districts[district],
            market=market,
            crop_class="",
            minor=minor,
            currency="TZS",
            quoted_on=TODAY - timedelta(days=ago),
            at=NOW,
        )

    def text_in(
        self, phone_id: int, text: str, *, ago: timedelta, farmer_id: int | None = None, **reading: object
    ) -> int:
        """Add a text that came in `ago` before now; without a reading it has not been read."""
        row_id = self.house.ids.row()
        return self.house.put(
            speech.inbound,
            id=row_id,
            gateway="simulator",
            ref=f"in-{row_id}",
            phone_id=phone_id,
            raw=text.encode(),
            text=text,
            text_hash=b"h",
            received_at=NOW - ago,
            stored_at=NOW - ago,
            state="read" if reading else "stored",
            farmer_id=farmer_id,
            read_json=reading or None,
        )

    def text_out(
        self,
        phone_id: int,
        text: str,
        *,
        ago: timedelta,
        farmer_id: int | None = None,
        kind: str = "reply",
        state: str = "delivered",
        why: str | None = None,
        tries: int = 1,
        policy: str = "at_least_once",
        inbound_id: int | None = None,
    ) -> tuple[date, int]:
        """Add a text of ours that went out `ago` before now; return its key."""
        at = NOW - ago
        row_id = self.house.put(
            outbox.message,
            queued_on=at.date(),
            idem_key=f"k{self.house.ids.row()}",
            kind=kind,
            phone_id=phone_id,
            farmer_id=farmer_id,
            gateway="simulator",
            language="sw",
            text_id="test",
            text=text,
            parts=1,
            priority=1,
            policy=policy,
            inbound_id=inbound_id,
            tries=tries,
            zone=ZONE,
            not_before=at,
            expires_at=at + timedelta(hours=48),
            state=state,
            why=why,
            state_at=at,
        )
        return at.date(), row_id

    def question(
        self,
        phone_id: int,
        text: str,
        *,
        ago: timedelta,
        farmer_id: int | None = None,
        urgency: str = "ordinary",
        code: str | None = None,
        inbound_id: int = 0,
    ) -> str:
        """Put a text on the officer's list; return its code."""
        code = code or f"Q{self.house.ids.row():03d}"
        self.house.put(
            speech.question,
            code=code,
            phone_id=phone_id,
            farmer_id=farmer_id,
            inbound_id=inbound_id,
            text=text,
            urgency=urgency,
            asked_at=NOW - ago,
        )
        return code

    def reminders(self, farmer_id: int, plot_id: int, *, back: int = 21) -> None:
        """Let all fall due that did in the last `back` days: answered, texted or dropped in turn."""
        with self.house.database.look() as work:
            farmer = work.console.within(None).farmer(farmer_id)
            assert farmer is not None
            plot = next(plot for plot in farmer.plots() if plot.id == plot_id)
        first = TODAY - timedelta(days=back)
        ends = (
            ("answered", None, "done"),
            ("texted", None, None),
            ("dropped", "its useful days have passed", None),
        )
        for place, due in enumerate(season(self.house.calendar, plot_days(plot), first, TODAY)):
            state, why, answer = ends[place % len(ends)]
            self.house.put(
                plots.reminder,
                due_on=due.due_on,
                task=due.task.id,
                plot_id=plot_id,
                revision=0,
                ordinal=due.ordinal,
                state=state,
                why=why,
                answer=answer,
            )


def fill(house: StandInHouse) -> dict[str, int]:
    """Fill a house with a programme in full swing; return the ids of farmers that tests open."""
    plant = Planter(house)
    asha, phone = plant.farmer("Asha Mwarobi")
    plot = ashas_plot = plant.plot(asha)
    for ahead in range(-12, 6):
        plant.weather(
            "Zaruvi", ahead=ahead, tmin_c=8 + ahead % 4, tmax_c=24 - ahead % 3, rain_mm=7.5 * (ahead % 5)
        )
    for ago in range(0, 68, 3):
        plant.weight(plot, phone, ago=ago, grams=4250 + 731 * (ago * 7 % 11))
    plant.weight(plot, phone, ago=1, grams=86_000, state="in_question")
    plant.spray(plot, ago=150)
    plant.weight(plot, phone, ago=8, grams=71_000, state="voided")
    plant.reminders(asha, plot)
    plant.money(plot)
    plant.price("Ndaliro", "Soko Kuu", 2_500)
    why = ["starts with vuna: harvest", "7.25 is kilos", "idle: the weight is kept"]
    plant.text_out(
        phone,
        "Asha, wiki hii: 1 Tafuta wadudu 2 Majani makavu 3 Magugu. Ukimaliza jibu TAYARI na namba.",
        ago=timedelta(days=1, hours=2),
        farmer_id=asha,
        kind="reminder",
    )
    plant.text_in(
        phone,
        "vuna 7.25",
        ago=timedelta(hours=20),
        farmer_id=asha,
        intent="harvest",
        understood={"grams": 7250, "on": "2026-11-24"},
        why=why,
    )
    plant.text_out(
        phone, "Asante Asha! 7.25 kg Jnn 24/11. Jumla 86.2 kg.", ago=timedelta(hours=20), farmer_id=asha
    )
    plant.text_in(
        phone,
        "TAYARI 2",
        ago=timedelta(hours=5),
        farmer_id=asha,
        intent="done",
        understood={"numbers": [2]},
        why=["starts with tayari: done"],
    )
    plant.text_out(
        phone,
        "Vizuri Asha: majani makavu yamekwisha.",
        ago=timedelta(hours=5),
        farmer_id=asha,
        state="in_doubt",
        why="no answer came",
    )
    plant.text_in(
        phone, "majani ya manjano baada ya mvua, nifanye nini?", ago=timedelta(hours=3), farmer_id=asha
    )
    plant.question(
        phone,
        "majani ya manjano baada ya mvua, nifanye nini?",
        ago=timedelta(hours=3),
        farmer_id=asha,
        code="K7Q2",
    )
    baraka, phone = plant.farmer("Baraka Lusinde", district="Ketumali")
    plant.plot(baraka, age=96, plants=320)
    plant.question(
        phone,
        "mtoto amekunywa dawa ya mimea",
        ago=timedelta(minutes=12),
        farmer_id=baraka,
        urgency="emergency",
    )
    plant.question(plant.phone(), "hello who is this", ago=timedelta(hours=30), urgency="not_understood")
    names = ("Neema", "Juma", "Rehema", "Tatu", "Salim", "Zawadi", "Hamisi", "Pendo", "Mwajuma", "Khamis")
    for place in range(56):
        state = {3: "pending", 7: "stopped"}.get(place, "active")
        farmer_id, phone = plant.farmer(
            f"{names[place % 10]} {names[place * 3 % 10]}i",
            district=("Zaruvi", "Ketumali", "Ndaliro", "Shumbeka")[place % 4],
            state=state,
            phone=phone,
        )
        age = -12 if place == 5 else place * place * 7 % 1060 + 3
        plot = plant.plot(farmer_id, age=age, plants=150 + place * 37 % 900, live=state == "active")
        if age > 150:
            plant.weight(plot, phone, ago=place % 6, grams=2500 + place * 410, in_hold=place == _SPRAYED)
        if place == _SPRAYED:
            plant.spray(plot, ago=3, label_days=None, hold=30)
    house.phones.extend(
        PracticePhone(slot=slot, label=label, number=number, phone_id=None)
        for slot, (label, number) in enumerate(
            zip(("a newcomer's phone", "Asha", "Baraka and Neema"), NUMBERS[-3:], strict=True), start=1
        )
    )
    return {"asha": asha, "baraka": baraka, "plot": ashas_plot, "ndaliro": plant.districts["Ndaliro"]}


def say(house: StandInHouse, slot: int, text: str) -> None:
    """Let the service text to a practice phone."""
    phone = next(phone for phone in house.phones if phone.slot == slot)
    until = house.service_clock.now() + timedelta(hours=1)
    house.network.send(
        OutgoingText(our_ref=f"r{house.ids.row()}", destination=phone.number, text=text, valid_until=until)
    )
