"""The weather page: what is known, and a file brought in two steps, first seen and then kept."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final
from zoneinfo import ZoneInfo

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from service.clock import local_day
from service.core.errors import Refused
from service.core.model import District
from service.core.rights import Permission
from service.core.weather_ports import ImportWay
from service.use_cases.weather.figures import told
from service.use_cases.weather.overview import BEHIND, overview
from service.use_cases.weather.rows import Gathered, Origin
from service.use_cases.weather.sheets import FAULTS_SHOWN, LARGEST_BYTES, decoded, read_sheet
from service.use_cases.weather.taking import NoBatch, Sender, rehearse, take, take_back
from service.web.house import Work, the_house
from service.web.permissions import needs, the_officer
from service.web.weather.chart import RAIN, WARM, draw

pages = Blueprint("weather", __name__)

_BATCHES_SHOWN: Final = 20
_CHANGES_SHOWN: Final = 40
_LARGEST_ID: Final = 2**63 - 1
# A file, with the few fields beside it.
_LARGEST_FORM: Final = LARGEST_BYTES + 16 * 1024


@pages.url_value_preprocessor
def _let_files_in(_endpoint: str | None, _values: dict[str, Any] | None) -> None:
    # Before the guard reads the form's token.
    request.max_content_length = _LARGEST_FORM
    request.max_form_memory_size = _LARGEST_FORM


@dataclass(frozen=True, kw_only=True, slots=True)
class _Sent:
    """A file as a form brings it, and how its lines are meant."""

    home: District
    text: str
    file_name: str
    issued: str

    @property
    def origin(self) -> Origin:
        """Where its lines come from.

        Raises:
            Refused: the moment of issue cannot be read, or is still to come.
        """
        now = the_house().service_clock.now()
        return Origin(zone=self.home.zone, now=now, issued_at=_issued_at(self.issued, self.home.zone, now))

    @property
    def gathered(self) -> Gathered:
        """What its lines say."""
        return read_sheet(self.text, self.origin)

    @property
    def sender(self) -> Sender:
        """Who sends it."""
        now = the_house().service_clock.now()
        return Sender(officer=the_officer(), way=ImportWay.CONSOLE, file_name=self.file_name, at=now)


def _issued_at(issued: str, zone: str, now: datetime) -> datetime | None:
    if not issued:
        return None
    try:
        moment = datetime.fromisoformat(issued).replace(tzinfo=ZoneInfo(zone)).astimezone(UTC)
    except ValueError:
        raise Refused("Write when the forecast was issued, like 2026-03-25T06:00.") from None
    if moment > now:
        raise Refused("The moment of issue is still to come: correct it.")
    return moment


@pages.get("/weather")
@needs(Permission.ALERT)
def show() -> str:
    """Show what is known of a district's weather, and what has come in."""
    with the_house().database.look() as work:
        theirs = _theirs(work)
    wanted = request.args.get("district", type=int)
    if wanted is not None and wanted not in theirs:
        abort(404)
    return _page(theirs, theirs.get(wanted) if wanted else next(iter(theirs.values()), None))


@pages.post("/weather/look")
@needs(Permission.ALERT)
def look() -> Response | str | tuple[str, int]:
    """Show what a file would change, or what is wrong with it; nothing is kept."""
    home = _home()
    file = request.files.get("file")
    try:
        if file is None or not file.filename:
            raise Refused("Choose a file first.")  # noqa: TRY301 - one way out for all that is wrong
        sent = _Sent(
            home=home, text=decoded(file.read()), file_name=file.filename, issued=_issued_when_forecast()
        )
        return _preview(sent)
    except Refused as refusal:
        return _refused(home, refusal)


@pages.post("/weather/keep")
@needs(Permission.ALERT)
def keep() -> Response | tuple[str, int]:
    """Keep a file as it was shown."""
    home, form = _home(), request.form
    sent = _Sent(
        home=home,
        text=form.get("text", ""),
        file_name=form.get("file_name", ""),
        issued=form.get("issued", ""),
    )
    try:
        gathered = sent.gathered
        with the_house().database.work() as work:
            take(work, the_house().tools, home, gathered, sent.sender, seen=form.get("seen", ""))
    except Refused as refusal:
        return _refused(home, refusal)
    return redirect(url_for("weather.show", district=home.id), code=303)


@pages.post(f"/weather/<int(max={_LARGEST_ID}):batch_id>/back")
@needs(Permission.ALERT)
def back(batch_id: int) -> Response:
    """Take an import back whole."""
    house = the_house()
    try:
        with house.database.work() as work:
            batch = take_back(work, house.tools, the_officer(), batch_id, at=house.service_clock.now())
    except NoBatch:
        abort(404)
    return redirect(url_for("weather.show", district=batch.district_id), code=303)


def _issued_when_forecast() -> str:
    """Return the moment of issue of a form that says it brings a forecast.

    Raises:
        Refused: it does not say when it was issued.
    """
    issued = request.form.get("issued", "")
    if request.form.get("what") != "forecast":
        return ""
    if not issued:
        raise Refused("Say when the forecast was issued: a newer one takes the place of an older one.")
    return issued


def _preview(sent: _Sent) -> str | tuple[str, int]:
    gathered = sent.gathered
    if gathered.faults:
        return render_template(
            "weather/faults.html",
            sent=sent,
            faults=gathered.faults[:FAULTS_SHOWN],
            more=len(gathered.faults) - FAULTS_SHOWN,
        ), 400
    # Nothing of it is committed.
    with the_house().database.work() as work:
        outcome = rehearse(work, sent.home, gathered, sent.sender)
    return render_template(
        "weather/preview.html",
        sent=sent,
        outcome=outcome,
        changes=outcome.changes[:_CHANGES_SHOWN],
        more=len(outcome.changes) - _CHANGES_SHOWN,
        told=told,
    )


def _theirs(work: Work) -> dict[int, District]:
    officer = the_officer()
    return {one.id: one for one in work.people.districts() if officer.covers(one.id)}


def _home() -> District:
    """Return the district that a form names, if it is this officer's."""
    with the_house().database.look() as work:
        theirs = _theirs(work)
    return theirs.get(request.form.get("district", -1, type=int)) or abort(404)


def _refused(home: District, refusal: Refused) -> tuple[str, int]:
    with the_house().database.look() as work:
        theirs = _theirs(work)
    return _page(theirs, home, wrong=str(refusal)), 400


def _page(theirs: dict[int, District], home: District | None, wrong: str | None = None) -> str:
    house = the_house()
    now = house.service_clock.now()
    zone = home.zone if home else house.settings.zone
    today = local_day(now, zone)
    with house.database.look() as work:
        seen = overview(work.weather, home, today) if home else None
        batches = work.weather_batches.latest([home.id] if home else [], _BATCHES_SHOWN)
    return render_template(
        "weather/show.html",
        theirs=theirs,
        home=home,
        seen=seen,
        chart=draw(seen) if seen and seen.known else None,
        behind=BEHIND,
        warm_height=WARM,
        rain_height=RAIN,
        batches=batches,
        wrong=wrong,
        today=today,
        zone=zone,
        hour_now=now.astimezone(ZoneInfo(zone)).strftime("%Y-%m-%dT%H:00"),
    )
