"""A conversation without a service: texts go in, moves come out, and nothing is opened.

The facts stay as they are however much is said, so that a test looks at one step at a time.
"""

from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import cache
from typing import Final

from flows.catalogue import load_catalogue
from flows.collecting import Coming
from flows.effects import Say
from flows.engine import step
from flows.facts import Clerk, Desk, Facts, Farmer, FarmerState, Job, Saved, SavedKind, Tongue, Weights
from flows.moves.naming import first_name
from flows.moves.turn import Turn
from flows.offering import names_of_jobs, offers_of, whose_jobs
from flows.offers import load_offers
from flows.reader import Packs, Situation, load_packs, read
from flows.reader.offered import Offer
from flows.reader.subject import Reading
from flows.spraying import Held
from flows.states import IDLE, JOINING, Conversation, Plain, State
from flows.watering import Sky, WaterToday, Wet
from flows.wording import Phrase, Wording

TODAY: Final = date(2026, 11, 25)
PACKS: Final[Packs] = load_packs()
OFFERS: Final = load_offers(PACKS)
WORDING: Final = Wording(load_catalogue())
DISTRICTS: Final = ("Zaruvi", "Ketumali", "Ndaliro", "Shumbeka")
JOBS: Final = (
    Job(
        key="k1",
        task="weeds",
        place=1,
        label=Phrase("task.weeds.label"),
        full=Phrase("task.weeds.text", {"task": 1}),
    ),
    Job(key="k2", task="scout", place=2, label=Phrase("task.scout.label"), full=Phrase("task.scout.text")),
    Job(
        key="k3",
        task="picking",
        place=3,
        label=Phrase("task.picking.label"),
        full=Phrase("task.picking.text"),
    ),
    Job(
        key="k4",
        task="water",
        place=None,
        label=Phrase("task.water.label"),
        full=Phrase("task.water.text", {"task": 1}),
    ),
)
COMING: Final = Coming(on=TODAY + timedelta(days=1), place="Ketumali store", hour=10)
WATER: Final = WaterToday(
    each_ml=1143,
    plot_ml=457_000,
    least_ml=228_500,
    can_ml=10_000,
    drip_ml_h=None,
    sky=Sky.USUAL,
    highest_c=24,
    elevation_m=1900,
    bare=True,
    beds=True,
    wet=Wet.SOME,
    rain_tenths=65,
)
NEEMA: Final = Farmer(
    id=1,
    name="Neema",
    language="en",
    state=FarmerState.ACTIVE,
    plot_id=11,
    plants=400,
    planted_on=TODAY - timedelta(days=200),
    jobs=JOBS,
    answered_places=frozenset({4}),
    weights=Weights(
        total=30_000,
        first_on=TODAY - timedelta(days=20),
        last_year=30_000,
        by_day={TODAY - timedelta(days=3): 8_000},
    ),
    text_day=2,
    pick_days=frozenset({2, 5}),
    district="Ketumali",
    joined_on=TODAY - timedelta(days=100),
    water=WATER,
)
HELD: Final = replace(
    NEEMA,
    sprays=(Held(spray_id=80, sprayed_on=TODAY - timedelta(days=2), pick_from=TODAY + timedelta(days=5)),),
)
DESK: Final = Desk(
    name="Rehema",
    language="en",
    districts=frozenset({"Ketumali", "Zaruvi"}),
    phones=40,
    farmers=52,
    grams=9_000,
)
CLERK: Final = Clerk(language="en")
ASHA: Final = replace(NEEMA, id=2, name="Asha", language="sw", plot_id=12, jobs=(), weights=Weights())
SAVED: Final = Saved(kind=SavedKind.HARVEST, id=7, farmer_id=1, on=TODAY, grams=8_000)
# What a question in each state is about, as the moves write it.
DATA: Final[dict[State, dict[str, Plain]]] = {
    State.JOIN_NAME: {"language": "sw"},
    State.JOIN_PLANTS: {"language": "en", "name": "Rehema"},
    State.JOIN_DATE: {"language": "en", "name": "Rehema", "plants": 300},
    State.JOIN_WHICH_DATE: {
        "language": "en",
        "name": "Rehema",
        "plants": 300,
        "date_1": "2025-12-12",
        "date_2": "2026-12-12",
    },
    State.JOIN_DISTRICT: {"language": "en", "name": "Rehema", "plants": 300, "planted": "2026-10-12"},
    State.CONSENT: {"language": "en"},
    State.COUNT_SURE: {"plants": 90},
    State.SCOUT: {"job": "k2", "on": TODAY.isoformat()},
    State.FLOWERS_STAY: {"job": "k9", "on": TODAY.isoformat()},
    State.KILOS: {"on": TODAY.isoformat()},
    State.VESSEL_KILOS: {"vessel": "basket", "count": "2", "on": TODAY.isoformat()},
    State.ESTIMATE: {"on": COMING.on.isoformat()},
    State.BARE_WEIGHT: {"grams": 9_000, "on": TODAY.isoformat()},
    State.UNUSUAL: {"harvest": 7, "choices": [125_000, 12_500, 1_250], "on": TODAY.isoformat()},
    State.ZERO: {"harvest": 7, "choices": [0], "on": TODAY.isoformat()},
    State.WHICH_KG: {"harvest": 7, "choices": [12, 12_000], "on": TODAY.isoformat()},
    State.AGAIN: {"grams": 3_000, "on": (TODAY - timedelta(days=3)).isoformat()},
    State.SPRAY_DAYS: {"spray": 90, "on": TODAY.isoformat()},
    State.SPRAY_ORDER: {"spray": 90, "on": TODAY.isoformat(), "free": "2026-12-02"},
    State.SALE_WORTH: {"grams": 12_000, "minor": 30_000, "on": TODAY.isoformat()},
    State.SALE_SAME: {
        "grams": 5_000,
        "minor": 12_500,
        "on": TODAY.isoformat(),
        "taken": 12_000,
        "worth": 30_000,
    },
    State.COST_KIND: {"minor": 15_000, "on": TODAY.isoformat()},
    State.NEW_DATE_SURE: {"on": "2026-04-01", "precision": "exact"},
    State.WHOM: {"text": "harvest 4", "on": TODAY.isoformat(), "state": "idle", "data": {}},
    State.STOP_OR_UNDO: {"under": "idle"},
    State.ALERT: {"alert": 70},
    State.NUDGE: {"task": "weeds"},
    State.BASKET_SURE: {"row": 7, "accepted": 120_000, "rejected": 0, "reason": None},
    State.OFFER: {
        "key": 90,
        "template": "frost",
        "on": TODAY.isoformat(),
        "figure": -2,
        "district": "Ketumali",
    },
}


def facts(
    *farmers: Farmer,
    saved: Saved | None = None,
    stopped: bool = False,
    emergency_number: str | None = None,
    desk: Desk | None = None,
    clerk: Clerk | None = None,
) -> Facts:
    """Return the facts of a phone that speaks for these farmers."""
    return Facts(
        on=TODAY,
        service="Zaruvi Berry Programme",
        districts=DISTRICTS,
        language="en",
        languages=(Tongue(code="en", name="English"), Tongue(code="sw", name="Kiswahili")),
        farmers=farmers,
        stopped=stopped,
        saved=saved,
        desk=desk,
        clerk=clerk,
        emergency_number=emergency_number,
        new_id=100,
        next_id=101,
        code="Q7",
    )


def talk_in(state: State) -> Conversation:
    """Return a conversation in which that question is open, to a farmer where it needs one."""
    whose = (
        None
        if state in JOINING
        or state in {State.IDLE, State.WHOM, State.STOP_OR_UNDO, State.OFFER, State.BASKET_SURE}
        else NEEMA.id
    )
    return Conversation(state=state, data=DATA.get(state, {}), farmer_id=whose)


@dataclass
class Talk:
    """One phone's conversation in memory."""

    facts: Facts = field(default_factory=lambda: facts(NEEMA))
    conversation: Conversation = IDLE

    def says(self, words: str) -> Turn:
        """Take one step, and the second one where it is now known for whom an earlier text was."""
        turn = self._step(words, None, self.facts.on)
        if turn.again is not None:
            turn = self._step(turn.again.text, turn.again.farmer_id, turn.again.on)
        return turn

    def _step(self, words: str, chosen: int | None, on: date) -> Turn:
        talk, farmer = self.conversation, whose_jobs(self.conversation, self.facts)
        names = names_of_jobs(farmer, WORDING, PACKS.languages)
        reading = _read(
            words,
            on=on,
            districts=self.facts.districts,
            offers=offers_of(talk, OFFERS, names),
            jobs=tuple(names.items()),
            people=frozenset(map(first_name, self.facts.with_state(FarmerState.ACTIVE))),
        )
        turn = step(self.conversation, reading, words, replace(self.facts, on=on), chosen=chosen)
        self.conversation = turn.conversation
        return turn


@cache
def _read(
    words: str,
    *,
    on: date,
    districts: tuple[str, ...],
    offers: tuple[Offer, ...],
    jobs: tuple[tuple[int, tuple[str, ...]], ...],
    people: frozenset[str],
) -> Reading:
    """Read a text once for all talks in which it is read alike: a reading depends on no more than this."""
    situation = Situation(
        on=on, districts=districts, languages=PACKS, offers=offers, jobs=dict(jobs), people=people
    )
    return read(words, situation)


def said(turn: Turn) -> list[str]:
    """Return the ids of the texts that a turn answers with."""
    return [effect.phrase.text_id for effect in turn.effects if isinstance(effect, Say)]
