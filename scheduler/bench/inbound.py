"""How fast texts come in over HTTP, each signed, stored and committed before it is acknowledged.

The pages are served as in use, by waitress on a loopback port, the gateway posts from a process of its own. The floor
is a route of the same server that asks no database.
"""

import logging
import math
import threading
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from importlib.metadata import version
from pathlib import Path
from typing import Final

from scheduler.bench.beside import work_beside
from scheduler.bench.ground import Ground
from scheduler.bench.peer import HOOK, NO_DATABASE, Order, Peer, peer_process
from scheduler.bench.report import Report
from scheduler.bench.timing import Stopwatch
from service import ids
from service.bootstrap import build
from service.db.measuring.floors import rows
from service.db.measuring.scratch import address_of
from service.db.work import Database
from service.gateways.signing import write_key
from service.settings import Settings
from service.web.serve import PageServer

_RATIO: Final = 0.20
_P99_MS: Final = 200.0
# Farmers for each text of a round: of the work beside there is to be enough.
_FARMERS: Final = 5
# As many as the server has threads.
_LINES: Final = 4
_PER_SECOND: Final = 50
# More lines than threads, so that texts are posted when they are due however slow those before them were.
_PACED_LINES: Final = 16
# Ten seconds of it are one round.
_MOST_PACED: Final = 500
_MS: Final = 1000


def bench_inbound(ground: Ground, texts: int) -> Report:
    """Measure taking in so many texts a round.

    Figures:
        stored: texts that stand in the database in the end; each round posts `texts` and then `paced`.
        hook_a_second, floor_a_second: texts taken, and calls of the route without a database, over four lines.
        ratio: the one by the other, of the medians.
        p50_ms, p99_ms, slowest_ms: at 50 texts a second while another process plans and merges days and sends alerts,
            counted from when a text was due; all rounds together.
        beside_reminders, beside_texts, beside_alerted: the rows which that process made.
    """
    report = Report("inbound", ground.scratch, texts=texts, rounds=ground.rounds)
    watch, waits, paced = Stopwatch(), list[float](), min(texts, _MOST_PACED)
    with ground.seeded(_FARMERS * texts) as database:
        settings = _settings(ground, database)
        with (
            _served(settings) as url,
            peer_process(url, settings.gateway_receive_keys, _FARMERS * texts) as peer,
        ):
            for path in (NO_DATABASE, HOOK):
                # The first calls of a process find nothing warm.
                peer.call(Order(path=path, calls=_LINES, lines=_LINES))
            for _ in ground.turns():
                watch.add("floor", _flood(peer, NO_DATABASE, texts))
                watch.add("hook", _flood(peer, HOOK, texts))
            ground.say(f"{_PER_SECOND} texts a second, with a day and an alert beside")
            with work_beside(ground.settings, address_of(database)) as beside:
                for _ in ground.turns():
                    order = Order(path=HOOK, calls=paced, lines=_PACED_LINES, per_second=_PER_SECOND)
                    waits += peer.call(order).waits
        stored = rows(database, "inbound")
    report.put(stored=stored, paced=paced, web_threads=settings.web_threads, waitress=version("waitress"))
    report.put_seconds(watch, "hook")
    report.put_seconds(watch, "floor", "floor_")
    report.put(
        hook_a_second=round(texts / watch.median("hook"), 1),
        floor_a_second=round(texts / watch.median("floor"), 1),
    )
    report.put_at_least("ratio", watch.median("floor") / watch.median("hook"), _RATIO)
    report.put(p50_ms=_percentile(waits, 0.5))
    report.put_at_most("p99_ms", _percentile(waits, 0.99), _P99_MS)
    report.put(slowest_ms=_percentile(waits, 1.0))
    report.put(**{f"beside_{name}": made for name, made in beside.items()})
    return report.finish()


def _flood(peer: Peer, path: str, calls: int) -> float:
    return peer.call(Order(path=path, calls=calls, lines=_LINES)).seconds


def _percentile(waits: Sequence[float], share: float) -> float:
    """Return the wait that a share of all stays within, in milliseconds (nearest rank)."""
    return round(sorted(waits)[math.ceil(share * len(waits)) - 1] * _MS, 1)


def _settings(ground: Ground, database: Database) -> Settings:
    """Return the settings of pages on this database, with a gateway that nothing is ever sent to."""
    settings = ground.settings.model_copy(
        update={
            "database_url": address_of(database),
            "gateway": "http",
            "http_gateway_url": "https://gateway.invalid/texts",
        }
    )
    for file in (settings.gateway_send_keys, settings.gateway_receive_keys):
        _write_keys(file)
    return settings


def _write_keys(file: Path) -> None:
    file.touch(mode=0o600)
    file.write_text(write_key(ids.key()) + "\n", encoding="ascii")


@contextmanager
def _served(settings: Settings) -> Iterator[str]:
    """Serve the pages in a thread, and yield their address."""
    with closing(build(settings)) as house:
        house.ready_database()
        # The server warns of each request that waits for a thread; here they are made to.
        logging.getLogger("waitress.queue").setLevel(logging.ERROR)
        server = PageServer(house, "127.0.0.1", 0)
        thread = threading.Thread(target=server.run, name="pages")
        thread.start()
        try:
            yield server.url
        finally:
            server.stop()
            thread.join()
