"""A fork server for tests that kill the service: it imports once, and lives and dies in forks.

Run as a script it reads one life a line from standard input, as JSON, and writes a line on how that life ended.
A forked child is a process of its own: it opens its own database and its own line to the network, does what the
worker does, and is killed by the kernel at the named point it was given, with nothing cleaned up.
"""

import json
import os
import signal
import sys
import threading
from collections import Counter
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Engine, event, func, select

from flows.catalogue import Catalogue, load_catalogue
from flows.offers import load_offers
from flows.reader import load_packs
from flows.wording import Wording
from scheduler.alerting import advance_alerts
from scheduler.runner import Worker
from service.agronomy.calendar import load_calendar
from service.bootstrap import House
from service.clock import HandClock
from service.core.gateway import Limits, OutgoingText
from service.core.kinds import MessageState
from service.db.engine import open_engine
from service.db.migrate import migrate
from service.db.sealing import Seal
from service.db.tables.outbox import message
from service.db.tables.speech import inbound
from service.db.work import Database
from service.faults import point
from service.gateways.simulator_link import SimulatorLink
from service.ids import Ids
from service.journal import FileJournal
from service.logs import set_up
from service.passwords import Argon2
from service.settings import Settings
from service.space import Room
from service.use_cases.holding import the_hold
from service.use_cases.tools import Programme, Tools
from tests.faults.failing_disk import refuse_in_this_thread

CATALOGUE: Final[Catalogue] = load_catalogue()
PACKS: Final = load_packs()
OFFERS: Final = load_offers(PACKS)
CALENDAR: Final = load_calendar()
# A window above one, so that a kill finds texts that were claimed and texts that had left.
LIMITS: Final = Limits(per_second=1000.0, window=8)
_BRIEFLY: Final = 0.02


def build_house(life: dict[str, Any]) -> House:
    """Put the service together as a new process does, at the instant of this life."""
    clock = HandClock(datetime.fromisoformat(life["now"]))
    link = SimulatorLink(life["port"], clock=clock.now, limits=LIMITS)
    settings = Settings(
        data_dir=Path(life["folder"]), database_url=life["database"], sender_window=8, sender_rate=1000
    )
    programme = Programme(
        name="Zaruvi Berry Programme",
        region="TZ",
        zone="Africa/Dar_es_Salaam",
        language="en",
        emergency_number=None,
        compost_handfuls=2,
        gateway=link.name,
    )
    ids = Ids()
    tools = Tools(
        programme=programme,
        wording=Wording(CATALOGUE),
        packs=PACKS,
        offers=OFFERS,
        calendar=CALENDAR,
        ids=ids,
    )
    return House(
        settings=settings,
        database=Database(settings.database, Seal(sealing_key=b"s" * 32, index_key=b"i" * 32)),
        real_clock=clock,
        service_clock=clock,
        ids=ids,
        calendar=CALENDAR,
        catalogue=CATALOGUE,
        tools=tools,
        gateway=link,
        network=link,
        passwords=Argon2(),
        journal=FileJournal(settings.journal),
        steady_clock=clock,
        room=Room(settings.data_dir, 0),
        keys_were_made=False,
    )


def work(life: dict[str, Any]) -> None:
    """Be the worker until nothing is left to do at this instant."""
    house = build_house(life)
    worker = Worker(house)

    def stop_when_quiet() -> None:
        while not _is_quiet(house):
            threading.Event().wait(_BRIEFLY)
        worker.stop()

    watcher = threading.Thread(target=stop_when_quiet, daemon=True)
    watcher.start()
    worker.run()
    watcher.join()
    house.close()


def work_until_unsynced(life: dict[str, Any]) -> None:
    """Be the worker on a disk that fails: from the sender's commit of that number on its calls are refused."""
    seen: Counter[str] = Counter()

    @event.listens_for(Engine, "commit")
    def count(_connection: object) -> None:
        name = threading.current_thread().name
        seen[name] += 1
        if name == "Sender" and seen[name] == life["commit"]:
            refuse_in_this_thread(life["refused"])

    work(life)


def _is_quiet(house: House) -> bool:
    with house.database.look() as unit:
        if the_hold(unit) is not None and not house.network.events(1):
            return True
    now = house.service_clock.now()
    waits = (message.c.state == MessageState.DUE) & (message.c.not_before <= now)
    with house.database.engine.connect() as connection:
        texts = select(func.count()).select_from(message)
        unsent = connection.execute(texts.where(waits | (message.c.state == MessageState.SUBMITTING)))
        unread = connection.execute(select(func.count()).where(inbound.c.state == "stored"))
        quiet = not unsent.scalar_one() and not unread.scalar_one()
    return quiet and not house.network.events(1)


def work_naively(life: dict[str, Any]) -> None:
    """Do what this service does not: send what is due, and only then write down that it was sent."""
    house = build_house(life)
    now = house.service_clock.now()
    while True:
        with house.database.work() as unit:
            found = unit.claims.candidates(now, 4, 1)
            if not found:
                break
            text = found[0]
            outgoing = OutgoingText(
                our_ref=f"text-{text.id}",
                destination=text.destination,
                text=text.text,
                valid_until=text.expires_at,
            )
            house.gateway.send(outgoing)
            point("acked")
            unit.outbox.set_state((text.queued_on, text.id), MessageState.ACCEPTED, now)
            unit.commit()
    house.close()


def migrate_and_die(life: dict[str, Any]) -> None:
    """Migrate, and be killed before a statement of which only the number is given."""
    engine = open_engine(life["database"])
    _die_before(engine, life["die_before"])
    migrate(engine)
    engine.dispose()


def expand_and_die(life: dict[str, Any]) -> None:
    """Turn recipients into messages, and be killed before a statement of which only the number is given; 0: not."""
    database = Database(life["database"], Seal(sealing_key=b"s" * 32, index_key=b"i" * 32))
    programme = Programme(
        name="Zaruvi Berry Programme",
        region="TZ",
        zone="Africa/Dar_es_Salaam",
        language="en",
        emergency_number=None,
        compost_handfuls=2,
        gateway="simulator",
    )
    tools = Tools(
        programme=programme,
        wording=Wording(CATALOGUE),
        packs=PACKS,
        offers=OFFERS,
        calendar=CALENDAR,
        ids=Ids(),
    )
    _die_before(database.engine, life["die_before"])
    advance_alerts(database, tools, datetime.fromisoformat(life["now"]), chunk=life["chunk"])
    database.close()


def _die_before(engine: Engine, number: int) -> None:
    """Have this process killed before the statement of that number."""
    seen: Counter[str] = Counter()

    @event.listens_for(engine, "before_cursor_execute")
    def count(*_event: object) -> None:
        seen["statements"] += 1
        if seen["statements"] == number:
            os.kill(os.getpid(), signal.SIGKILL)


WAYS: Final[dict[str, Callable[[dict[str, Any]], None]]] = {
    "work": work,
    "work_until_unsynced": work_until_unsynced,
    "work_naively": work_naively,
    "migrate_and_die": migrate_and_die,
    "expand_and_die": expand_and_die,
}


def live(life: dict[str, Any]) -> int:
    """Live one life in a fork; return the signal that ended it, or the status it may end with, 0 for a natural end."""
    child = os.fork()
    if child == 0:
        status = 1
        try:
            os.environ["TRUSSLINE_TEST_KILL"] = life.get("kill", "")  # noqa: TID251 - as a shell sets it
            WAYS[life["way"]](life)
            status = 0
        finally:
            sys.stderr.flush()
            os._exit(status)
    _, status = os.waitpid(child, 0)
    if not os.WIFSIGNALED(status) and os.WEXITSTATUS(status) == life.get("may_end"):
        return os.WEXITSTATUS(status)
    if not os.WIFSIGNALED(status) and os.WEXITSTATUS(status):
        raise SystemExit(f"a life ended with status {os.WEXITSTATUS(status)}")
    return os.WTERMSIG(status) if os.WIFSIGNALED(status) else 0


def main() -> None:
    """Live what is asked for, line by line."""
    # Logs go to standard error: standard output is the answer.
    set_up(sys.stderr)
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    for line in sys.stdin:
        sys.stdout.write(f"{live(json.loads(line))}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
