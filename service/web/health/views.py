"""For whoever watches the service: is this process up, and is the service ready for work?"""

from datetime import datetime, timedelta
from typing import Final

from flask import Blueprint, Response, jsonify

from service.logs import logger
from service.use_cases.holding import the_hold
from service.use_cases.readiness import WORKER_SEEN
from service.web.house import House, Work, the_house
from service.web.permissions import open_to_all

pages = Blueprint("health", __name__)

_ALIVE: Final = timedelta(seconds=60)


@pages.get("/healthz")
@open_to_all
def healthz() -> Response:
    """Say that this process answers."""
    return jsonify(up=True)


@pages.get("/readyz")
@open_to_all
def readyz() -> tuple[Response, int]:
    """Say what is ready; 200 only if all of it is.

    It is for whoever watches. A balancer asks /healthz: the pages are needed most while texts are held.
    """
    checks = _checks(the_house())
    ready = all(checks.values())
    return jsonify(ready=ready, checks=checks), 200 if ready else 503


def _checks(house: House) -> dict[str, bool]:
    names = ("database", "schema", "worker", "not_held")
    try:
        with house.database.look() as work:
            schema = work.console.schema_version() == house.schema_head
            found = (True, schema, _worker_alive(house, work), the_hold(work) is None)
            return dict(zip(names, found, strict=True))
    # Whatever keeps the database from answering, the service is not ready; the log says what it was.
    except Exception as error:  # noqa: BLE001 - see above
        logger().warning("not_ready", error=type(error).__name__)
        return dict.fromkeys(names, False)


def _worker_alive(house: House, work: Work) -> bool:
    seen = work.staff.setting(WORKER_SEEN)
    return seen is not None and house.real_clock.now() - datetime.fromisoformat(seen) <= _ALIVE
