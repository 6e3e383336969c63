"""What the conversation knows when it answers: gathered beforehand, so that answering opens nothing."""

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from flows.collecting import Coming
from flows.keeping import Keeping
from flows.money import SHILLINGS, Currency
from flows.spraying import LONGEST_HOLD, Held
from flows.trading import CostKind, Purse
from flows.vessels import Vessels
from flows.watering import WaterToday
from flows.wording import Phrase


class FarmerState(StrEnum):
    """Where a farmer stands with the service."""

    PENDING = "pending"
    ACTIVE = "active"
    STOPPED = "stopped"
    ERASED = "erased"


@dataclass(frozen=True, kw_only=True, slots=True)
class Tongue:
    """A language that can be chosen: its code, and its name as its speakers write it."""

    code: str
    name: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """One reminder the farmer can act on.

    Attributes:
        key: names the reminder; opaque here.
        task: the calendar's id of the task.
        place: its number in the farmer's last list, None if it was never listed.
        label: the short wording for a list.
        full: the whole text that says how the job is done.
    """

    key: str
    task: str
    place: int | None
    label: Phrase
    full: Phrase


@dataclass(frozen=True, kw_only=True, slots=True)
class Weights:
    """What a plot has borne, in grams; weights in question are left out.

    Attributes:
        total: since the first pick.
        first_on: day of the first pick, None before it.
        last_year: in the twelve months that end today.
        median: of the farmer's own weights above zero, None while there are fewer than five.
        by_day: what was picked on each day, as far back as the last fifty weights.
    """

    total: int = 0
    first_on: date | None = None
    last_year: int = 0
    median: int | None = None
    by_day: dict[date, int] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True, slots=True)
class Farmer:
    """One farmer reached by this phone, with the plot the talk is about.

    Attributes:
        plot_id: the plot that weights and findings go to: of several the newest, see `service.use_cases.knowing`.
        jobs: what can be reported as done, by rank.
        answered_places: numbers of the farmer's last list whose jobs are answered already.
        text_day: the weekday of the weekly jobs; weekdays count from Monday, 0.
        pick_days: the weekdays on which fruit is picked.
        paused: whether no texts are sent for the time being.
        joined_on: the local day they were added.
        added_by: the name of the officer who added them, None if they joined by themselves.
        sprays: those on the plot that may still hold picking back, or have since a weight may be dated.
        asked: whether this phone was only asked whether it is theirs: until it says yes, nothing of theirs is told
            or changed here.
        coming: the next collection of their group, None where there is none.
        held_out: whether they get no advice they have not asked for, so that others can be compared with them.
        water: what the plot needs today: gathered where water or rain is talked about, None where no plants stand.
        purse: prices, sales and costs: gathered where money is talked about.
        vessels: what their containers hold, in grams: gathered where containers are talked about.
        keeping: how long their picked fruit keeps: gathered where that is asked, None where no plants stand.
    """

    id: int
    name: str
    language: str
    state: FarmerState
    plot_id: int
    plants: int
    planted_on: date
    jobs: tuple[Job, ...] = ()
    answered_places: frozenset[int] = frozenset()
    weights: Weights = field(default_factory=Weights)
    text_day: int = 0
    pick_days: frozenset[int] = frozenset()
    paused: bool = False
    district: str = ""
    joined_on: date | None = None
    added_by: str | None = None
    sprays: tuple[Held, ...] = ()
    asked: bool = False
    held_out: bool = False
    water: WaterToday | None = None
    purse: Purse | None = None
    coming: Coming | None = None
    vessels: Vessels = field(default_factory=dict)
    keeping: Keeping | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Desk:
    """The officer whose phone this is, and of how their districts stand today what the text asks for.

    Attributes:
        name: as farmers read it in a warning.
        districts: those the officer may warn.
        phones: how many phones a warning would reach now in the district that the text names.
        late: whether the night that it warns of has begun by then, or is about to.
        farmers: how many farmers have joined.
        asked: how many have not said yes or no yet.
        questions: how many questions are open.
        grams: what was picked today.
    """

    name: str
    language: str
    districts: frozenset[str]
    phones: int = 0
    late: bool = False
    farmers: int = 0
    asked: int = 0
    questions: int = 0
    grams: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Clerk:
    """Whoever notes by this phone what comes to collections."""

    language: str


class SavedKind(StrEnum):
    """What UNDO can take back."""

    HARVEST = "harvest"
    JOB = "job"
    RAIN = "rain"
    SPRAY = "spray"
    SALE = "sale"
    COST = "cost"
    ESTIMATE = "estimate"


@dataclass(frozen=True, kw_only=True, slots=True)
class Saved:
    """The last thing this phone saved within a day, which UNDO takes back.

    Attributes:
        id: of the weight, the done report, the rain report, the spray, the sale, the cost or the estimate.
        on: the day it was picked, sprayed, sold or paid, the job fell due, it rained, or the collection is.
        grams: the weight that was picked or sold, or what was said to come.
        in_question: whether that weight is outside all totals still.
        replaced: grams of the weights it took the place of, which come back.
        label: the job, or how many they are.
        tenths: the rain, in tenths of a millimetre.
        minor: the money of a sale or a cost.
        cost: what that was for.
    """

    kind: SavedKind
    id: int
    farmer_id: int
    on: date
    grams: int = 0
    in_question: bool = False
    replaced: int = 0
    label: Phrase = Phrase("jobs_count", {"n": 1})  # noqa: RUF009 - a frozen value
    tenths: int = 0
    minor: int = 0
    cost: CostKind = CostKind.OTHER


@dataclass(frozen=True, kw_only=True, slots=True)
class Facts:
    """All that one answer may rest on.

    Attributes:
        on: today, local to the phone.
        service: the programme's name.
        districts: names, in the order they are numbered to a farmer.
        language: the language to answer in when no farmer's is known.
        languages: those that can be chosen, in the order they are numbered to a farmer.
        farmers: those this phone speaks for, none erased.
        stopped: whether the phone is on the stop list.
        saved: what UNDO would take back.
        answered: the question of this phone that an officer answered by text within three days, the last of them.
        desk: the officer whose phone it is; nobody else's words do what an officer's do.
        clerk: who may note baskets by it; nobody else's words do.
        emergency_number: None when the programme has set none.
        longest_hold: days without picking after a spray whose label nobody knows.
        currency: that of the programme.
        answer_by: the day by which officers answer questions; None where the programme promises none.
        new_id: an unused row id for what this answer may create.
        next_id: another one, where it creates two.
        code: an unused question code.
    """

    on: date
    service: str
    districts: tuple[str, ...]
    language: str
    languages: tuple[Tongue, ...] = ()
    farmers: tuple[Farmer, ...] = ()
    stopped: bool = False
    saved: Saved | None = None
    answered: int | None = None
    desk: Desk | None = None
    clerk: Clerk | None = None
    emergency_number: str | None = None
    longest_hold: int = LONGEST_HOLD
    currency: Currency = SHILLINGS
    answer_by: date | None = None
    new_id: int
    next_id: int
    code: str

    def with_state(self, *states: FarmerState) -> tuple[Farmer, ...]:
        """Return the farmers in one of `states`."""
        return tuple(farmer for farmer in self.farmers if farmer.state in states)

    def farmer(self, farmer_id: int | None) -> Farmer | None:
        """Return the farmer with that id, if this phone speaks for them."""
        return next((farmer for farmer in self.farmers if farmer.id == farmer_id), None)
