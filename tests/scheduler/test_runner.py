import os
import signal
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Row, Select, func, select
from structlog.testing import capture_logs

from scheduler.runner import Worker
from service.agronomy.due import useful_until
from service.bootstrap import OFFSET, House
from service.clock import ShiftedClock
from service.core.errors import Refused as RefusedToRun
from service.core.gateway import OutgoingText
from service.core.staff import KeptForm
from service.db.tables.outbox import attempt, message
from service.db.tables.plots import plot, reminder
from service.gateways.simulator import SimulatorGateway
from service.gateways.simulator_link import SimulatorLink
from service.gateways.simulator_network import SimulatedNetwork
from service.ids import CountingIds
from service.journal import FileJournal
from service.passwords import Argon2
from service.settings import Settings
from service.space import Room
from service.use_cases.demo_clock import WISH
from service.use_cases.kept_forms import keep_form
from service.use_cases.officers import add_officer
from service.use_cases.readiness import WORKER_SEEN
from service.use_cases.sending import answer_lost
from tests.postroom import Postroom
from tests.village import Village
from tests.weather_station import Station


@pytest.fixture
def postroom(village: Village) -> Postroom:
    """The outbox of a village nobody lives in yet."""
    return Postroom(village)


def house_of(village: Village, folder: Path, **given: Any) -> House:  # noqa: ANN401 - the fields of a house
    """Return the village as the house a worker is given."""
    values: dict[str, Any] = {
        "settings": Settings(data_dir=folder, sender_rate=1000),
        "database": village.database,
        "real_clock": village.clock,
        "service_clock": village.clock,
        "ids": village.tools.ids,
        "calendar": village.tools.calendar,
        "catalogue": village.tools.wording,
        "tools": village.tools,
        "gateway": village.gateway,
        # The phones' side of the network, which a worker never asks.
        "network": SimulatorLink(1, clock=village.clock.now),
        "passwords": Argon2(),
        "journal": FileJournal(folder / "journal"),
        "steady_clock": village.clock,
        "room": Room(folder, 0),
        "keys_were_made": False,
    }
    return House(**{**values, **given})


@pytest.fixture
def house(village: Village, tmp_path: Path) -> House:
    """The village as a house."""
    return house_of(village, tmp_path)


@pytest.fixture
def demo(village: Village, tmp_path: Path) -> House:
    """The village as a demo, whose clock can be moved."""

    def offset() -> timedelta:
        with village.database.look() as work:
            return timedelta(hours=int(work.staff.setting(OFFSET) or 0))

    clock = ShiftedClock(village.clock, offset)
    return house_of(
        village,
        tmp_path,
        settings=Settings(data_dir=tmp_path, demo=True, sender_rate=1000),
        service_clock=clock,
        gateway=SimulatorGateway(SimulatedNetwork(ids=CountingIds()), clock=clock.now),
    )


def ask(village: Village, question: Select[Any]) -> list[Row[Any]]:
    """Ask the database, with its types."""
    with village.database.engine.connect() as connection:
        return list(connection.execute(question))


@contextmanager
def when(condition: Callable[[], bool], act: Callable[[], None]) -> Iterator[None]:
    """Act beside the test as soon as something is so, or after ten seconds whatever is."""

    def watch() -> None:
        for _ in range(500):
            if condition():
                break
            threading.Event().wait(0.02)
        act()

    thread = threading.Thread(target=watch)
    thread.start()
    yield
    thread.join()


def terminate() -> None:
    """Ask this process to end, as a service manager does."""
    os.kill(os.getpid(), signal.SIGTERM)


def setting(village: Village, name: str) -> str | None:
    """Return a setting kept in the database."""
    with village.database.look() as work:
        return work.staff.setting(name)


def put_setting(village: Village, name: str, value: str) -> None:
    """Keep a setting in the database, as a page does."""
    with village.database.work() as work:
        work.staff.put_setting(name, value)
        work.commit()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT], ids=["SIGTERM", "SIGINT"])
def test_the_worker_works_until_it_is_told_to_stop(
    postroom: Postroom, house: House, number: signal.Signals
) -> None:
    """It sends, receives and answers by itself; a signal ends it, and the signal's old meaning is back."""
    village = postroom.village
    before = signal.getsignal(number)
    phone = village.phone()
    key = postroom.put(kind="reply", phone_id=postroom.phone())
    village.gateway.text_in(source=phone.number, destination="15077", text="HELP")

    def done() -> bool:
        return postroom.state(key) == "delivered" and bool(phone.received)

    with when(done, lambda: os.kill(os.getpid(), number)):
        Worker(house).run()

    assert done()
    assert before == signal.getsignal(number)
    assert village.clock.now().isoformat() == setting(village, WORKER_SEEN)
    with house.only_worker():
        pass


def test_a_second_worker_refuses_to_start(house: House) -> None:
    """It says so in a sentence and touches nothing."""
    with house.only_worker(), pytest.raises(RefusedToRun, match="Another worker is running"):
        Worker(house).run()


def test_a_stop_while_sending_leaves_nothing_in_doubt(postroom: Postroom, house: House) -> None:
    """On SIGTERM the text on the wire is settled and the rest waits in the outbox, with all its tries."""
    for _ in range(20):
        postroom.put()

    def stop_now(_text: OutgoingText) -> None:
        terminate()
        # The main thread has heard it once it has told the sender.
        worker.sender._stop.wait(10)

    postroom.gateway.script.append(stop_now)
    worker = Worker(replace(house, gateway=postroom.gateway))
    worker.run()

    assert {"accepted": 1, "due": 19} == postroom.states()
    assert 1 == sum(int(str(row["tries"])) for row in postroom.village.rows("SELECT tries FROM message"))


def test_a_start_puts_what_was_being_sent_in_doubt(postroom: Postroom, house: House) -> None:
    """What the last process had claimed is neither sent at once nor forgotten."""
    key = postroom.put()
    postroom.claim()
    worker = Worker(house)

    with when(lambda: postroom.state(key) == "in_doubt", worker.stop):
        worker.run()

    assert ("in_doubt", 1) == (postroom.state(key), postroom.row(key)["doubts"])


def test_a_receipt_that_waited_spares_the_second_copy(postroom: Postroom, house: House) -> None:
    """After hours away the worker hears what the network has to say before it sends anything again."""
    village = postroom.village
    key = postroom.put(phone_id=postroom.phone())
    (claimed,) = postroom.claim()
    village.gateway.send(
        OutgoingText(
            our_ref=claimed.our_ref,
            destination=claimed.destination,
            text=claimed.text,
            valid_until=claimed.valid_until,
        )
    )
    postroom.sender.recover()
    postroom.wait(hours=3)
    worker = Worker(house)

    with when(lambda: postroom.state(key) != "in_doubt", worker.stop):
        worker.run()

    assert ("delivered", 1) == (postroom.state(key), postroom.row(key)["tries"])


def test_no_doubt_is_settled_while_the_gateway_is_away(postroom: Postroom, house: House) -> None:
    """Its receipt may wait there; once the gateway has been heard the text goes again."""
    key = postroom.put()
    postroom.claim()
    postroom.sender.recover()
    postroom.wait(minutes=10)
    worker = Worker(house)
    postroom.village.gateway.unplug()
    worker.receiver.catch_up()

    worker.tick()
    away = postroom.state(key)
    postroom.village.gateway.plug_in()
    worker.receiver.catch_up()
    worker.tick()

    assert ("in_doubt", "due") == (away, postroom.state(key))


def books(village: Village) -> list[int]:
    """Return how many reminders and texts there are."""
    counts = [select(func.count()).select_from(table) for table in (reminder, message)]
    return [row[0] for count in counts for row in ask(village, count)]


def test_two_ticks_are_as_one(village: Village, house: House) -> None:
    """Planning and merging again at the same moment, or half a minute later, makes nothing new."""
    for age in (30, 100, 400):
        village.phone().joins(days_ago=age)
    village.clock.advance(timedelta(days=1))
    worker = Worker(house)

    worker.tick()
    once = books(village)
    worker.tick()
    village.clock.advance(timedelta(seconds=30))
    worker.tick()

    assert once == books(village)
    assert once[0] > 0


def test_ticks_at_the_same_moment_take_turns(village: Village, house: House) -> None:
    """The demo's clock ticks while the half minutes go on: four at once make what one makes."""
    village.phone().joins(days_ago=60)
    village.clock.advance(timedelta(days=1))
    worker = Worker(house)
    threads = [threading.Thread(target=worker.tick) for _ in range(4)]

    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    together = books(village)
    worker.tick()

    assert together == books(village)


def test_the_demo_steps_hour_by_hour(village: Village, demo: House) -> None:
    """Thirty hours wished for are thirty steps with all that falls into them: none is jumped over."""
    village.phone().joins(days_ago=60)
    put_setting(village, WISH, "30")
    worker = Worker(demo)
    start, steps = demo.service_clock.now(), []

    while worker.step_clock():
        steps.append(demo.service_clock.now())

    swept = [str(row["day"])[:10] for row in village.rows("SELECT day FROM sweep ORDER BY day")]
    assert [start + timedelta(hours=hour) for hour in range(1, 31)] == steps
    assert "0" == setting(village, WISH)
    assert ["2026-11-25", "2026-11-26"] == swept


def test_what_was_typed_is_forgotten_by_real_time(village: Village, demo: House) -> None:
    """A form that nobody came back for goes after its hour at a screen, however far the demo's clock is moved."""
    form = KeptForm(page="/farmers/new", action="/farmers/new", fields=(("name", "Rehema"),))
    with village.database.work() as work:
        officer = add_officer(work, name="Asha Mlima", code="K7WM", now=village.clock.now())
        keep_form(work, officer, form, village.clock.now())
    put_setting(village, WISH, "3")
    worker, kept = Worker(demo), []

    while worker.step_clock():
        pass
    for minutes in (59, 2):
        village.clock.advance(timedelta(minutes=minutes))
        worker.tick()
        kept.append(len(village.rows("SELECT officer_id FROM kept_form")))

    assert [1, 0] == kept


def test_a_demo_steps_while_it_runs(village: Village, demo: House) -> None:
    """A wish made on a page is carried out by the running worker."""
    put_setting(village, WISH, "3")
    worker = Worker(demo)

    with when(lambda: setting(village, WISH) == "0", worker.stop):
        worker.run()

    assert "3" == setting(village, OFFSET)


def test_time_is_not_moved_outside_a_demo(village: Village, house: House) -> None:
    """Where only real time counts a wish for hours has no effect."""
    put_setting(village, WISH, "3")
    worker = Worker(house)
    seen = threading.Event()

    def look() -> bool:
        if setting(village, WORKER_SEEN):
            seen.set()
        return seen.is_set()

    with when(look, worker.stop):
        worker.run()

    assert ("3", None) == (setting(village, WISH), setting(village, OFFSET))


class TrippingCalendar:
    """A calendar that has something wrong with it."""

    def __getattr__(self, name: str) -> object:
        """Trip whoever asks."""
        raise RuntimeError("a fault of our own")


def test_a_tick_or_a_step_that_fails_ends_nothing(postroom: Postroom, demo: House) -> None:
    """Texts are still sent while planning trips over something."""
    postroom.village.phone().joins(days_ago=60)
    key = postroom.put(kind="reply")
    put_setting(postroom.village, WISH, "1")
    worker = Worker(replace(demo, calendar=TrippingCalendar()))  # type: ignore[arg-type]  # that is the point

    with when(lambda: postroom.state(key) in {"accepted", "delivered"}, worker.stop):
        worker.run()

    assert postroom.state(key) in {"accepted", "delivered"}


def test_a_part_of_a_tick_that_fails_keeps_none_of_the_others(postroom: Postroom, demo: House) -> None:
    """Planning trips over something: what is in doubt is settled all the same, and the worker is seen to be there."""
    postroom.village.phone().joins(days_ago=60)
    key = postroom.put(kind="reply")
    (claimed,) = postroom.claim()
    with postroom.village.database.work() as work:
        answer_lost(work, claimed, postroom.now)
    postroom.wait(minutes=10)
    worker = Worker(replace(demo, calendar=TrippingCalendar()))  # type: ignore[arg-type]  # that is the point
    worker.receiver.take_in()

    with capture_logs() as logs:
        worker.tick()

    assert ["reminders"] == [line["part"] for line in logs if line["event"] == "tick_stumbled"]
    assert "due" == postroom.state(key)
    assert setting(postroom.village, WORKER_SEEN)


def test_a_gateway_that_is_away_at_the_start_is_no_trouble(postroom: Postroom, house: House) -> None:
    """The worker starts without it, and its texts wait."""
    key = postroom.put()
    postroom.village.gateway.unplug()
    worker = Worker(house)

    with when(lambda: postroom.outcomes(key) == ["not_sent"], worker.stop):
        worker.run()

    assert ("due", 0) == (postroom.state(key), postroom.row(key)["tries"])


def settle_sixty(village: Village) -> None:
    """Let sixty farmers with stands of all ages join, and four days pass."""
    phones = [village.phone() for _ in range(60)]
    for number, phone in enumerate(phones):
        planted = village.today - timedelta(days=5 + 17 * number)
        words = f"JOIN Neema 400 {planted:%d/%m/%Y} Ketumali"
        village.gateway.text_in(source=phone.number, destination="15077", text=words)
    village.work_through()
    for phone in phones:
        village.gateway.text_in(source=phone.number, destination="15077", text="YES")
    village.work_through()
    village.pass_days(4)


@dataclass(frozen=True, kw_only=True)
class Pushed:
    """A text pushed after an outage, with the jobs in it."""

    phone_id: int
    kind: str
    state: str
    not_before: datetime
    expires_at: datetime
    useful_until: tuple[date, ...]


def pushed_since(village: Village, known: set[int]) -> list[Pushed]:
    """Return all pushed texts that were not known before."""
    texts = ask(village, select(message).where(message.c.id.not_in(known), message.c.inbound_id.is_(None)))
    jobs = ask(village, select(reminder, plot.c.planted_on).join(plot, plot.c.id == reminder.c.plot_id))
    calendar = village.tools.calendar
    return [
        Pushed(
            phone_id=text.phone_id,
            kind=text.kind,
            state=text.state,
            not_before=text.not_before,
            expires_at=text.expires_at,
            useful_until=tuple(
                useful_until(calendar.by_id[job.task], job.planted_on, job.due_on)
                for job in jobs
                if job.message_id == text.id
            ),
        )
        for text in texts
    ]


def known_ids(village: Village) -> set[int]:
    """Return the ids of all texts there are."""
    return {row.id for row in ask(village, select(message.c.id))}


# Sunday, ten in the morning: three days after the last tick.
BACK_BY_DAY = datetime(2026, 12, 2, 7, 0, tzinfo=UTC)
# Half past seven in the evening: the two hours run into the quiet ones.
BACK_IN_THE_EVENING = datetime(2026, 12, 2, 16, 30, tzinfo=UTC)


def test_after_three_days_without_a_worker_no_flood_follows(village: Village, house: House) -> None:
    """Sixty farmers get one reminder text each at most, nothing past its use, over two hours of the day."""
    settle_sixty(village)
    known = known_ids(village)
    assert village.clock.now() <= BACK_BY_DAY - timedelta(hours=72)
    worker = Worker(house)

    village.clock.set(BACK_BY_DAY)
    for _ in range(13):
        worker.tick()
        worker.sender.drain()
        worker.receiver.take_in()
        village.clock.advance(timedelta(minutes=10))

    pushed = pushed_since(village, known)
    reminders = [one.phone_id for one in pushed if one.kind == "reminder"]
    assert len(set(reminders)) == len(reminders)
    assert len(reminders) > 20
    assert {"delivered"} == {one.state for one in pushed}
    assert all(BACK_BY_DAY <= one.not_before < BACK_BY_DAY + timedelta(hours=2) for one in pushed)
    assert len({one.not_before for one in pushed}) > 20
    today = village.today
    assert all(max(one.useful_until) >= today for one in pushed)


def test_an_outage_that_ends_in_the_evening_waits_for_the_morning(village: Village, house: House) -> None:
    """What does not leave by eight leaves after seven, if it is still of use then, and never in between."""
    settle_sixty(village)
    known = known_ids(village)
    worker = Worker(house)

    village.clock.set(BACK_IN_THE_EVENING)
    for _ in range(4 * 16):
        worker.tick()
        worker.sender.drain()
        worker.receiver.take_in()
        village.clock.advance(timedelta(minutes=15))

    pushed = pushed_since(village, known)
    sent = ask(
        village, select(attempt.c.began_at).where(attempt.c.message_id.in_(known_ids(village) - known))
    )
    hours = Counter((row.began_at + timedelta(hours=3)).hour for row in sent)
    assert {19, 7} <= set(hours)
    assert not any(hour >= 20 or hour < 7 for hour in hours)
    assert {"delivered", "expired_unsent"} >= {one.state for one in pushed}
    assert all(one.expires_at <= village.clock.now() for one in pushed if one.state == "expired_unsent")


def test_a_tick_judges_the_weather_once_a_day(house: House, village: Village) -> None:
    """Whatever has come nearer overnight stands before the officers in the morning, and is found once."""
    station, worker = Station(village), Worker(house)
    station.sends("day,tmin_c\n2026-11-30,0\n", issued_ago=timedelta(hours=1))
    counts = []
    for hours in (0, 48, 1):
        village.clock.advance(timedelta(hours=hours))
        worker.tick()
        counts.append(village.row("SELECT count(*) AS number FROM danger")["number"])

    assert [0, 1, 1] == counts
