"""Every route, for every role, in the officer's own district and in another: who gets in, and what leaks.

A route that is not in the table fails the first test here, so that no page is added without its row.
"""

import re
import shutil
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from typing import Final

import pytest
from werkzeug.test import TestResponse

from service.core.alerts import Audience
from service.core.rights import ROLES, Permission, Role
from service.core.staff import Officer
from service.db.tables.alerts import alert
from service.db.tables.outbox import message
from service.db.tables.speech import inbound
from service.use_cases.alerts.drafting import Order, draft
from service.use_cases.officers import change_officer
from service.web.permissions import Open, permission_of
from tests.stand_in_house import NOW, Planter, StandInHouse, make_house
from tests.web_desk import Desk, app_of

# Its name on loopback.
COOKIE: Final = "trussline"

# What stands in the other district and must be seen nowhere else.
ELSEWHERE: Final = ("Wendo of Elsewhere", "secret-question", "secret-doubt", "Hidden Hamlet", "Hidden Group")


@dataclass(frozen=True, kw_only=True)
class Route:
    """One way to one endpoint.

    Attributes:
        path: with a placeholder for what lies in a district.
        form: what is sent; None where the page is only looked at.
        bound: whether the path, or the form, names something that lies in a district.
    """

    path: str
    form: Mapping[str, str] | None = None
    bound: bool = False


_FROST: Final = {
    "key": "one form",
    "template": "frost",
    "district": "{district}",
    "on": "2026-11-25",
    "figure": "-1",
    "useless_after": "2026-11-25T18:00",
}

_PLAN: Final = {"place": "Store", "hour": "10", "first": "2026-11-25", "day_2": "1"}

MATRIX: Final[dict[str, Route]] = {
    "farmers.today": Route(path="/"),
    "account.show": Route(path="/account"),
    "account.password": Route(path="/account/password"),
    "account.set_password": Route(path="/account/password", form={"new": "x", "again": "y"}),
    "account.second_factor": Route(path="/account/second-factor"),
    "account.offer": Route(path="/account/second-factor", form={}),
    "account.confirm": Route(path="/account/second-factor/confirm", form={"digits": "000000"}),
    "account.end_session": Route(path="/account/sessions", form={"which": "none"}),
    "officers.index": Route(path="/officers"),
    # It names an officer, who belongs to no district; this one is nobody.
    "officers.reset": Route(path="/officers/999/new-way-in", form={}),
    "alerts.index": Route(path="/alerts"),
    "drafts.new": Route(path="/alerts/new"),
    "drafts.create": Route(path="/alerts/new", form=_FROST, bound=True),
    # It counts letters and gives back no more than was typed.
    "drafts.measure": Route(path="/alerts/measure", form=_FROST),
    "alerts.show": Route(path="/alerts/{alert}", bound=True),
    "drafts.edit": Route(path="/alerts/{alert}/edit", bound=True),
    "drafts.change": Route(path="/alerts/{alert}/edit", form=_FROST, bound=True),
    "alerts.reached": Route(path="/alerts/{alert}/reached", bound=True),
    "alerts.state": Route(path="/alerts/{alert}/state", bound=True),
    "alerts.progress": Route(path="/alerts/{alert}/progress", bound=True),
    "alerts.decide": Route(path="/alerts/{alert}/pause", form={}, bound=True),
    "clock.show": Route(path="/clock"),
    "clock.move": Route(path="/clock", form={"step": "hour"}),
    "clock.face": Route(path="/clock/face"),
    "doubts.index": Route(path="/doubts"),
    "doubts.decide": Route(path="/doubts/{doubt}", form={"do": "leave"}, bound=True),
    "doubts.decide_failed": Route(path="/doubts/failed/{failed}", form={"do": "seen"}, bound=True),
    "doubts.decide_unread": Route(path="/doubts/unread/{unread}", form={"do": "seen"}, bound=True),
    "questions.show": Route(path="/questions/{question}", bound=True),
    "questions.measure": Route(path="/questions/{question}/measure", form={"words": "hello"}, bound=True),
    "questions.answer": Route(path="/questions/{question}/answer", form={"words": "hello"}, bound=True),
    "questions.close": Route(path="/questions/{question}/close", form={"do": "done"}, bound=True),
    "questions.open_again": Route(path="/questions/{question}/open", form={}, bound=True),
    "questions.number": Route(path="/questions/{question}/number", form={}, bound=True),
    "report.show": Route(path="/report?district={district}", bound=True),
    "report.download": Route(path="/report.csv?district={district}", bound=True),
    "cohorts.show": Route(path="/cohorts"),
    "forecast.show": Route(path="/forecast?district={district}", bound=True),
    "register.index": Route(path="/farmers"),
    "silent.index": Route(path="/farmers/silent"),
    "farmers.person": Route(path="/farmers/{farmer}", bound=True),
    "adding.new": Route(path="/farmers/new"),
    "adding.add": Route(path="/farmers/new", form={"district": "{district}"}, bound=True),
    "care.edit": Route(path="/farmers/{farmer}/edit", bound=True),
    "care.change": Route(path="/farmers/{farmer}/edit", form={"name": "x"}, bound=True),
    "care.pausing": Route(path="/farmers/{farmer}/pause", bound=True),
    "care.pause": Route(path="/farmers/{farmer}/pause", form={"until": "2026-12-01"}, bound=True),
    "care.resume": Route(path="/farmers/{farmer}/resume", form={}, bound=True),
    "care.stopping": Route(path="/farmers/{farmer}/stop", bound=True),
    "care.stop": Route(path="/farmers/{farmer}/stop", form={}, bound=True),
    "care.stop_back": Route(path="/farmers/{farmer}/stop/back", form={}, bound=True),
    "numbers.show": Route(path="/farmers/{farmer}/number", bound=True),
    "numbers.ask": Route(path="/farmers/{farmer}/number", form={"number": "0621 234 577"}, bound=True),
    "numbers.reveal": Route(path="/farmers/{farmer}/number/show", form={}, bound=True),
    "numbers.take_back": Route(path="/farmers/{farmer}/number/back", form={}, bound=True),
    "paper.blank": Route(path="/calendar"),
    "paper.card": Route(path="/card"),
    "paper.year": Route(path="/farmers/{farmer}/year", bound=True),
    "prices.show": Route(path="/prices?district={district}", bound=True),
    "prices.add": Route(
        path="/prices",
        form={"district": "{district}", "market": "Soko Kuu", "price": "2500", "on": "2026-11-25"},
        bound=True,
    ),
    "paper.of_plot": Route(path="/plots/{plot}/calendar", bound=True),
    "told_money.show": Route(path="/plots/{plot}/money", bound=True),
    "told_money.sale": Route(
        path="/plots/{plot}/money/sale", form={"on": "2026-11-25", "kilos": "5", "money": "12500"}, bound=True
    ),
    "told_money.cost": Route(
        path="/plots/{plot}/money/cost",
        form={"on": "2026-11-25", "kind": "manure", "money": "12500"},
        bound=True,
    ),
    "told_money.sale_back": Route(path="/plots/{plot}/money/sale/1/back", form={}, bound=True),
    "told_money.cost_back": Route(path="/plots/{plot}/money/cost/1/back", form={}, bound=True),
    "told_money.besides": Route(path="/plots/{plot}/money/sale/1/besides", form={}, bound=True),
    "weights.show": Route(path="/plots/{plot}/weights", bound=True),
    "weights.add": Route(path="/plots/{plot}/weights", form={"on": "2026-11-25", "kilos": "5"}, bound=True),
    "weights.taking_back": Route(path="/plots/{plot}/weights/{weight}/back", bound=True),
    "weights.take_back": Route(
        path="/plots/{plot}/weights/{weight}/back", form={"why": "typed_wrong"}, bound=True
    ),
    "plots.show": Route(path="/plots/{plot}/edit", bound=True),
    "plots.follows": Route(
        path="/plots/{plot}/edit/follows?planted=2026-05-01&plants=9&precision=exact", bound=True
    ),
    "plots.edit": Route(
        path="/plots/{plot}/edit",
        form={"planted": "2026-05-01", "plants": "9", "mulch": "", "precision": "exact"},
        bound=True,
    ),
    "sprays.show": Route(path="/plots/{plot}/sprays", bound=True),
    "sprays.enter": Route(
        path="/plots/{plot}/sprays", form={"sprayed": "2026-11-20", "days": "7"}, bound=True
    ),
    "sprays.complete": Route(path="/plots/{plot}/sprays/{spray}/days", form={"days": "9"}, bound=True),
    "sprays.take_back": Route(path="/plots/{plot}/sprays/{spray}/back", form={}, bound=True),
    "collections.index": Route(path="/collections"),
    "collections.new": Route(path="/collections/new"),
    "collections.add": Route(path="/collections/new", form={**_PLAN, "group": "{group}"}, bound=True),
    "collections.edit": Route(path="/collections/{collection}/edit", bound=True),
    "collections.change": Route(path="/collections/{collection}/edit", form=_PLAN, bound=True),
    "collections.call_off": Route(path="/collections/{collection}/2026-11-25/off", form={}, bound=True),
    "collections.keep": Route(path="/collections/{collection}/2026-11-25/on", form={}, bound=True),
    "clerk.show": Route(path="/collections/{collection}/2026-11-25", bound=True),
    "clerk.bring": Route(
        path="/collections/{collection}/2026-11-25/{farmer}", form={"accepted": "5", "price": "9"}, bound=True
    ),
    "clerk.back": Route(path="/collections/{collection}/2026-11-25/{farmer}/back", form={}, bound=True),
    "paid.show": Route(path="/collections/paid?collection={collection}", bound=True),
    "paid.download": Route(path="/collections/paid.csv?collection={collection}", bound=True),
    "paid.mark": Route(path="/collections/paid", form={"collection": "{collection}"}, bound=True),
    "paid.back": Route(path="/collections/paid/{payment}/back", form={}, bound=True),
    "practice.choose": Route(path="/practice"),
    "practice.phone": Route(path="/practice/1"),
    "practice.send": Route(path="/practice/1", form={"text": ""}),
    "practice.part": Route(path="/practice/1/thread"),
    "weather.show": Route(path="/weather"),
    "weather.look": Route(path="/weather/look", form={"district": "{district}"}, bound=True),
    "weather.keep": Route(path="/weather/keep", form={"district": "{district}", "text": "x"}, bound=True),
    "weather.back": Route(path="/weather/{batch}/back", form={}, bound=True),
    "dangers.write": Route(path="/dangers/{danger}/write", form={}, bound=True),
    "dangers.leave": Route(path="/dangers/{danger}/leave", form={}, bound=True),
    "signin.leave": Route(path="/sign-out", form={}),
}


@dataclass
class Place:
    """One district with all that can be asked for by its id."""

    ids: dict[str, str] = field(default_factory=dict)

    def fill(self, words: str) -> str:
        """Put the ids into a path or a field."""
        return words.format(**self.ids)


class World:
    """A programme of two districts, and whoever looks at it."""

    def __init__(self, desk: Desk, house: StandInHouse, planter: Planter) -> None:
        """Fill both districts; the desk's officer is administrator and stays signed in."""
        self.house, self.planter, self.admin = house, planter, desk
        self._file = str(house.database.engine.url.database)
        self._kept = sqlite3.connect(":memory:")
        self.own = self._place("Ndaliro", "Asha of Here", "open-question", "open-doubt", "Near Hamlet")
        self.other = self._place("Zaruvi", *ELSEWHERE[:4])
        planter.group(ELSEWHERE[4], "Zaruvi")
        # A question of somebody who belongs nowhere is not for those who have some districts only.
        planter.question(planter.phone(), "nobody-question", ago=timedelta(hours=1))
        self._sessions: dict[tuple[Role, tuple[str, ...]], str] = {
            (role, districts): self._session(role, districts)
            for role in Role
            for districts in (("Ndaliro",), ())
        }

    def _place(self, district: str, name: str, asked: str, doubted: str, village: str) -> Place:
        planter, house = self.planter, self.house
        farmer, phone = planter.farmer(name, district=district)
        plot = planter.plot(farmer)
        question = planter.question(phone, asked, ago=timedelta(hours=2), farmer_id=farmer)
        day, doubt = planter.text_out(
            phone, doubted, ago=timedelta(hours=1), farmer_id=farmer, state="in_doubt"
        )
        day_failed, failed = planter.text_out(
            phone, f"{doubted}-failed", ago=timedelta(hours=1), farmer_id=farmer, state="failed"
        )
        unread = planter.text_in(phone, f"{asked}-unread", ago=timedelta(hours=1))
        with house.database.engine.begin() as connection:
            connection.execute(inbound.update().where(inbound.c.id == unread).values(state="corrupt"))
        planter.village(village, district)
        district_id = planter.districts[district]
        group, collection, payment = planter.collection(farmer, f"{village} Growers", district)
        with house.database.look() as work:
            (who, *_) = work.staff.officers()
        return Place(
            {
                "district": str(district_id),
                "farmer": str(farmer),
                "plot": str(plot),
                "group": str(group),
                "collection": str(collection),
                "payment": str(payment),
                "spray": str(planter.spray(plot, ago=3)),
                "weight": str(planter.weight(plot, phone, ago=3, grams=5000, officer=who.id)),
                "doubt": f"{day.isoformat()}/{doubt}",
                "failed": f"{day_failed.isoformat()}/{failed}",
                "unread": str(unread),
                "question": question,
                "alert": str(self.alert(who, frozenset({district_id}))),
                "danger": str(planter.danger(district, reason=asked)),
                "batch": str(planter.weather(district, rain_mm=4.0)),
            }
        )

    def alert(self, who: Officer, districts: frozenset[int]) -> int:
        """Let somebody draft a frost warning to these districts; return its id."""
        order = Order(
            idem_key=f"form-{sorted(districts)}",
            audience=Audience(districts=districts),
            template="frost",
            on=NOW.date(),
            figure=-1,
            words={},
            useless_after=NOW + timedelta(hours=8),
        )
        with self.house.database.work() as work:
            return draft(work, self.house.tools, who, order, NOW).id

    def seat(self, role: Role | None, *districts: str) -> Desk:
        """Return a browser with somebody of that role signed in; with None nobody is."""
        seated = Desk(house=self.house, app=self.admin.app)
        if role is not None:
            seated.client.set_cookie(COOKIE, self._sessions[role, districts])
        return seated

    def keep(self) -> None:
        """Remember all that stands in the database."""
        with closing(sqlite3.connect(self._file)) as written:
            written.backup(self._kept)

    def restore(self) -> None:
        """Put back what was kept: filling two districts takes longer than most tests."""
        app_of(self.house)
        with closing(sqlite3.connect(self._file)) as written:
            self._kept.backup(written)

    def close(self) -> None:
        """Leave nothing open."""
        self._kept.close()
        self.house.database.close()

    def _session(self, role: Role, districts: tuple[str, ...]) -> str:
        seated = Desk(house=self.house, app=self.admin.app)
        theirs = frozenset(self.planter.districts[name] for name in districts)
        seated.sign_in(f"{role} of {districts}", role=role, districts=theirs)
        cookie = seated.client.get_cookie(COOKIE)
        assert cookie is not None
        return cookie.value


def ask(desk: Desk, route: Route, place: Place) -> TestResponse:
    """Take a route to a place."""
    path = place.fill(route.path)
    if route.form is None:
        return desk.get(path)
    return desk.send(path, **{name: place.fill(value) for name, value in route.form.items()})


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory, empty_file: Path) -> Iterator[World]:
    """A programme of two districts, filled once."""
    folder = tmp_path_factory.mktemp("world")
    shutil.copy(empty_file, folder / "trussline.db")
    house = make_house(f"sqlite:///{folder / 'trussline.db'}", folder)
    desk = Desk(house=house, app=app_of(house))
    desk.sign_in()
    world = World(desk, house, Planter(house))
    world.keep()
    yield world
    world.close()


@pytest.fixture
def world(filled: World) -> World:
    """The programme of two districts as it was when it had been filled."""
    filled.restore()
    return filled


def test_every_route_has_its_row(desk: Desk) -> None:
    """A route for officers that is not in the table has not been thought of."""
    guarded = {
        rule.endpoint
        for rule in desk.app.url_map.iter_rules()
        if isinstance(permission_of(desk.app, rule.endpoint), Permission)
        or permission_of(desk.app, rule.endpoint) is Open.OFFICERS
    }

    assert set(MATRIX) == guarded


@pytest.mark.parametrize("endpoint", MATRIX)
def test_strangers_get_nowhere(endpoint: str, world: World) -> None:
    """Nobody gets in without signing in, and no form of theirs does anything."""
    route = MATRIX[endpoint]
    response = ask(world.seat(None), route, world.own)

    assert (303 if route.form is None else 401) == response.status_code
    assert route.form is not None or response.location.startswith("/sign-in")


@pytest.mark.parametrize("role", list(Role))
@pytest.mark.parametrize("endpoint", MATRIX)
def test_own_district_by_role(endpoint: str, role: Role, world: World) -> None:
    """In their own district officers get in where their role has the right, and nowhere else."""
    route, wanted = MATRIX[endpoint], permission_of(world.admin.app, endpoint)
    seated = world.seat(role, "Ndaliro")
    # The shelf of practice phones is empty here: what a demo offers is tried elsewhere.
    status = ask(seated, route, world.own).status_code
    allowed = wanted is Open.OFFICERS or wanted in ROLES[role]
    # Of the first page of all whoever may not see it is led to the first of their own.
    led_on = endpoint == "farmers.today" and not allowed and status == 303

    assert (status in (401, 403) or led_on) == (not allowed)
    assert status < 500
    if allowed and route.bound:
        assert status != 404


@pytest.mark.parametrize("role", [Role.OFFICER, Role.APPROVER])
@pytest.mark.parametrize("endpoint", [name for name, route in MATRIX.items() if route.bound])
def test_other_district_is_not_there(endpoint: str, role: Role, world: World) -> None:
    """What lies in another district is answered like what is not there at all: 404, and nothing of it is told."""
    response = ask(world.seat(role, "Ndaliro"), MATRIX[endpoint], world.other)

    assert 404 == response.status_code
    assert not [word for word in ELSEWHERE if word in response.text]


@pytest.mark.parametrize("endpoint", [name for name, route in MATRIX.items() if route.bound])
def test_administrator_is_at_home_everywhere(endpoint: str, world: World) -> None:
    """An administrator reaches both districts."""
    seated = world.seat(Role.ADMINISTRATOR)

    assert [True, True] == [
        ask(seated, MATRIX[endpoint], place).status_code not in (401, 403, 404)
        for place in (world.own, world.other)
    ]


@pytest.mark.parametrize("districts", [("Ndaliro",), ()], ids=["own", "none"])
@pytest.mark.parametrize("role", [Role.OFFICER, Role.APPROVER])
@pytest.mark.parametrize(
    "endpoint", [name for name, route in MATRIX.items() if route.form is None and not route.bound]
)
def test_lists_hold_nothing_of_elsewhere(
    endpoint: str, role: Role, districts: tuple[str, ...], world: World
) -> None:
    """No list, count or choice shows a farmer, text or place of another district, or of nobody."""
    page = ask(world.seat(role, *districts), MATRIX[endpoint], world.own).text

    assert not [word for word in (*ELSEWHERE, "nobody-question", ">Zaruvi<") if word in page]


def test_lists_hold_what_is_theirs(world: World) -> None:
    """The same lists do show what lies in the officer's own district: the test above would see a leak."""
    officer, admin = world.seat(Role.OFFICER, "Ndaliro"), world.admin
    pages = [officer.text(path) for path in ("/", "/farmers", "/doubts", "/farmers/new")]
    everything = " ".join(admin.text(path) for path in ("/", "/farmers", "/doubts", "/farmers/new"))

    assert "open-question" in pages[0]
    assert "Asha of Here" in pages[1]
    assert "open-doubt" in pages[2]
    assert "Near Hamlet" in pages[3]
    assert not [word for word in (*ELSEWHERE, "nobody-question") if word not in everything]


def test_measuring_words_tells_nothing_of_elsewhere(world: World) -> None:
    """What an alert would cost is counted without a word about a district that is not theirs."""
    officer = world.seat(Role.OFFICER, "Ndaliro")
    page = ask(officer, MATRIX["drafts.measure"], world.other).text

    assert not [word for word in (*ELSEWHERE, "Zaruvi") if word in page.replace("Zaruvi Berry Programme", "")]


def test_search_finds_nothing_elsewhere(world: World) -> None:
    """Neither a name, nor last digits, nor a forged filter finds a farmer of another district."""
    officer = world.seat(Role.OFFICER, "Ndaliro")
    queries = ("name=Wendo", "name=561", f"district={world.other.ids['district']}", "state=active&stage=pick")

    for query in queries:
        assert ELSEWHERE[0] not in officer.text(f"/farmers?{query}")
        assert ELSEWHERE[0] in world.admin.text(f"/farmers?{query}")


def test_moved_officer_sees_the_new_district_only(world: World) -> None:
    """From the very next request after a move the old session opens nothing; signed in anew, only the new is seen."""
    officer = world.seat(Role.OFFICER, "Ndaliro")
    first = officer.get("/").status_code
    _change(world, "officer of ('Ndaliro',)", frozenset({world.planter.districts["Zaruvi"]}))
    after = officer.get("/").status_code
    officer.sign_in("officer of ('Ndaliro',)")
    page = officer.text("/farmers")

    assert (200, 303) == (first, after)
    assert (False, True) == ("Asha of Here" in page, ELSEWHERE[0] in page)


def _change(world: World, name: str, districts: frozenset[int]) -> None:
    with world.house.database.work() as work:
        change_officer(work, name, now=world.house.real_clock.now(), districts=districts)


@pytest.mark.parametrize("state", ["draft", "waiting_approval", "scheduled", "parked", "sending", "paused"])
@pytest.mark.parametrize("decision", ["confirm", "approve", "take_over", "pause", "resume", "call_off"])
def test_no_button_moves_an_alert_elsewhere(decision: str, state: str, world: World) -> None:
    """Wherever another district's alert stands, each of its buttons is answered with 404 and it stays there."""
    number = world.other.ids["alert"]
    with world.house.database.engine.begin() as connection:
        connection.execute(alert.update().where(alert.c.id == int(number)).values(state=state))
    shown = re.search(r'name="digest" value="(\w+)"', world.admin.text(f"/alerts/{number}"))
    digest = shown[1] if shown else ""
    answer = world.seat(Role.APPROVER, "Ndaliro").send(f"/alerts/{number}/{decision}", digest=digest)
    with world.house.database.look() as work:
        kept = work.alerts.look(int(number))

    assert 404 == answer.status_code
    assert kept is not None
    assert state == kept.state


def test_an_alert_to_both_districts_is_not_half_theirs(world: World) -> None:
    """Whoever has one of its districts neither sees nor moves it, nor writes one like it."""
    both = frozenset(int(place.ids["district"]) for place in (world.own, world.other))
    with world.house.database.look() as work:
        (who, *_) = work.staff.officers()
    number = world.alert(who, both)
    officer = world.seat(Role.OFFICER, "Ndaliro")
    form = {name: world.own.fill(value) for name, value in _FROST.items()}
    answers = [
        officer.get(f"/alerts/{number}").status_code,
        officer.get(f"/alerts/new?like={number}").status_code,
        officer.send(f"/alerts/{number}/call_off").status_code,
        officer.send("/alerts/new", **{**form, "district": world.other.ids["district"]}).status_code,
    ]

    assert [404] * 4 == answers


def test_doubts_that_were_decided_elsewhere_stay(world: World) -> None:
    """A form sent to another district's text changes nothing of it."""
    officer = world.seat(Role.OFFICER, "Ndaliro")
    ask(officer, MATRIX["doubts.decide"], world.other)
    with world.house.database.engine.connect() as connection:
        states = [row.why for row in connection.execute(message.select().order_by(message.c.id))]

    assert [None] * 4 == states
