"""The page that Prometheus reads; see its "text-based format"."""

import hmac
import ipaddress
from datetime import datetime

from flask import Blueprint, Response, abort, request
from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, generate_latest

from service.clock import local_day
from service.space import free_bytes
from service.use_cases.holding import the_hold
from service.use_cases.readiness import WORKER_SEEN
from service.use_cases.restoring import PROVED_AT
from service.web.house import House, the_house
from service.web.metrics.figures import Figures, Seen
from service.web.permissions import open_to_all

pages = Blueprint("metrics", __name__)


@pages.get("/metrics")
@open_to_all
def metrics() -> Response:
    """Hand over the figures: to this machine, or to whoever shows the token."""
    house = the_house()
    if not _may_read(house.settings.metrics_token):
        abort(403, "Figures are for this machine, or for whoever shows the metrics_token.")
    registry = CollectorRegistry(auto_describe=False)
    registry.register(Figures(_look(house)))
    return Response(generate_latest(registry), content_type=CONTENT_TYPE_LATEST)


def _may_read(token: str) -> bool:
    """Return whether the one who asks may know.

    A proxy on this machine speaks for others: what it passes on does not come from here.
    """
    shown = request.headers.get("Authorization", "").removeprefix("Bearer ")
    if token and hmac.compare_digest(shown.encode(), token.encode()):
        return True
    passed_on = {"Forwarded", "X-Forwarded-For", "Via"} & {name.title() for name, _ in request.headers}
    return not passed_on and ipaddress.ip_address(request.remote_addr or "::").is_loopback


def _look(house: House) -> Seen:
    now, real_now = house.service_clock.now(), house.real_clock.now()
    with house.database.look() as work:
        return Seen(
            metered=work.metering.read(local_day(now, house.settings.zone), now, real_now),
            now=now,
            real_now=real_now,
            worker_seen=_instant(work.staff.setting(WORKER_SEEN)),
            backup_proved=_instant(work.staff.setting(PROVED_AT)),
            hold=the_hold(work),
            cap_day=house.settings.cap_day,
            free_bytes=free_bytes(house.settings.data_dir),
        )


def _instant(kept: str | None) -> datetime | None:
    return datetime.fromisoformat(kept) if kept else None
