"""How values are written on the pages: days, hours, weights, masked numbers, and states in plain words."""

from collections.abc import Callable, Mapping
from datetime import date, datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import Final
from zoneinfo import ZoneInfo

from babel.dates import format_date

from flows.effects import Urgency
from flows.facts import FarmerState
from service.agronomy.risk import Hazard
from service.agronomy.risk_words import to_do
from service.core.danger_ports import Danger
from service.core.kinds import NEVER_ARRIVED, MessageState
from service.core.model import District, HarvestState, InboundState, ReminderState
from service.core.nights import night_of
from service.core.question_ports import Way
from service.core.rights import Role
from service.db.queries.console_values import ConsentFacts
from service.db.queries.places import Place
from service.use_cases.scouting import SEEN

_LOCALE: Final = "en"
_HUNDREDTH: Final = Decimal("0.01")
_PER_KILO: Final = 1000

FARMER_STATES: Final[dict[str, str]] = {
    FarmerState.PENDING: "has not said yes yet",
    FarmerState.ACTIVE: "gets our texts",
    FarmerState.STOPPED: "has stopped all texts",
}
MESSAGE_STATES: Final[dict[str, str]] = {
    MessageState.DUE: "waits to be sent",
    MessageState.SUBMITTING: "is being sent",
    MessageState.IN_DOUBT: "sent or not, nobody knows yet",
    MessageState.ACCEPTED: "taken by the network",
    MessageState.ENROUTE: "on its way",
    MessageState.DELIVERED: "delivered",
    MessageState.UNKNOWN: "sent, no more is known",
    MessageState.UNDELIVERABLE: "could not be delivered",
    MessageState.REJECTED: "refused by the network",
    MessageState.DELETED: "deleted by the network",
    MessageState.EXPIRED: "too late: the phone was not reached in time",
    MessageState.EXPIRED_UNSENT: "too late: never sent",
    MessageState.FAILED: "failed: never sent",
    MessageState.CANCELLED: "called off",
    MessageState.DROPPED: "dropped",
}
KINDS: Final[dict[str, str]] = {
    "reply": "answer",
    "answer": "officer's answer",
    "urgent_answer": "officer's answer, at any hour",
    "nudge": "question after an unanswered job",
    "reminder": "reminder",
    "flowers_stay": "reminder outside the cap",
    "hold_over": "picking after a spray",
    "collection_change": "a changed collection",
    "delivery": "what was brought to a collection",
    "emergency": "emergency answer",
    "alert": "alert",
    "urgent_alert": "urgent alert",
    "further_alert": "urgent alert on top of another",
    "invitation": "invitation",
}
REMINDER_STATES: Final[dict[str, str]] = {
    ReminderState.DUE: "waits for its text",
    ReminderState.TEXTED: "texted",
    ReminderState.ANSWERED: "answered",
    ReminderState.DROPPED: "not texted",
    ReminderState.CANCELLED: "called off",
}
INBOUND_STATES: Final[dict[str, str]] = {
    InboundState.STORED: "stored, not read yet",
    InboundState.READ: "read",
    InboundState.CORRUPT: "could not be read",
    InboundState.LOOKED_AT: "could not be read, seen by an officer",
}
WEIGHT_STATES: Final[dict[str, str]] = {
    HarvestState.COUNTED: "counts",
    HarvestState.IN_QUESTION: "in question",
    HarvestState.VOIDED: "taken back",
}
URGENCIES: Final[dict[str, str]] = {
    Urgency.EMERGENCY: "emergency",
    Urgency.NEED_HELP: "needs help",
    Urgency.UNREAD: "could not be read",
    Urgency.ORDINARY: "question",
    Urgency.NOT_UNDERSTOOD: "not understood",
}
DEEDS: Final[dict[str, str]] = {
    Way.TEXT: "answered by text",
    Way.CALLED: "called",
    Way.DONE: "saw to it",
}
ROLES: Final[dict[str, str]] = {
    Role.CLERK: "clerk of collections",
    Role.OFFICER: "officer",
    Role.APPROVER: "officer who approves alerts",
    Role.ADMINISTRATOR: "administrator",
}
# What was asked or answered last about being texted, as the farmer's page tells it; a way stands in it where it matters.
CONSENTS: Final[dict[tuple[str, str], str]] = {
    ("asked", "sms"): "asked by text, no answer yet:",
    ("yes", "sms"): "said yes by text,",
    ("yes", "paper"): "said yes on paper, attested,",
    ("no", "sms"): "said no by text,",
    ("stopped", "sms"): "ended it by text,",
    ("stopped", "officer"): "ended on their word,",
    ("stop taken back", "officer"): "said yes before; a stop by mistake was taken back,",
    ("wrong number", "officer"): "the old number is not theirs any more,",
    ("wrong number", "sms"): "the phone has another owner now, by a text of",
    ("silent", "sms"): "asked twice, never answered:",
}
HAZARDS: Final[dict[str, str]] = {
    Hazard.FROST: "cold night",
    Hazard.HEAVY_RAIN: "heavy rain",
    Hazard.HAIL: "hail",
    Hazard.HEAT: "heat",
    Hazard.GREY_MOULD: "grey mould",
    Hazard.ANTHRACNOSE: "rot of the fruit",
    Hazard.MILDEW: "mildew",
    Hazard.PESTS: "seen by more farmers",
}
# What officers can do about a name that texts cannot write.
AS_WRITTEN: Final = "Change the name, or send the form once more to keep it as it is."
LANGUAGES: Final = {"en": "English", "sw": "Swahili"}
PRECISIONS: Final = {"exact": "", "month": "that month", "about": "about"}
COST_KINDS: Final[dict[str, str]] = {
    "seedlings": "plants",
    "manure": "manure or fertiliser",
    "labour": "work",
    "water": "watering",
}
MULCHES: Final = {"straw": "dry grass or straw", "plastic": "plastic", "none": "none"}


def long_day(day: date) -> str:
    """Return a day as a heading has it: Wednesday 25 November 2026."""
    return format_date(day, "EEEE d MMMM y", locale=_LOCALE)


def full_day(day: date) -> str:
    """Return a day with its year: 27 April 2026."""
    return format_date(day, "d MMMM y", locale=_LOCALE)


def short_day(day: date, today: date) -> str:
    """Return a day near today without its year, one in another year with it: Wed 25 Nov."""
    return format_date(day, "EEE d MMM" if day.year == today.year else "d MMM y", locale=_LOCALE)


def danger_day(danger: Danger, today: date) -> str:
    """Return the day of a danger; a frost's is its night, by both days."""
    if danger.hazard == Hazard.FROST:
        return night_of(danger.day - timedelta(days=1))
    return short_day(danger.day, today)


def weekday(number: int) -> str:
    """Return the name of a weekday; 0 is Monday."""
    # 1 January 2024 was a Monday.
    return format_date(date(2024, 1, 1) + timedelta(days=number), "EEEE", locale=_LOCALE)


def weekdays(mask: int) -> str:
    """Return the names of a set of weekdays; bit 0 is Monday."""
    names = [weekday(number) for number in range(7) if mask >> number & 1]
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:]))) or "none"


def hour(instant: datetime, zone: str) -> str:
    """Return the local time of day of an instant: 06:41."""
    return f"{instant.astimezone(ZoneInfo(zone)):%H:%M}"


def local(instant: datetime, zone: str) -> date:
    """Return the local day of an instant."""
    return instant.astimezone(ZoneInfo(zone)).date()


_SPANS: Final = ((86_400, "day"), (3_600, "hour"), (60, "minute"))


def waited(since: datetime, now: datetime) -> str:
    """Return how long something waits, in its largest whole unit: 19 hours."""
    seconds = (now - since).total_seconds()
    for size, name in _SPANS:
        count = int(seconds // size)
        # Two days are told as days; thirty hours say more than one day.
        if count >= (2 if name == "day" else 1):
            return counted(count, name)
    return "just now"


def days_since(then: datetime, now: datetime, zone: str) -> str:
    """Return how many midnights lie between two instants where the people are: 66 days."""
    return counted((local(now, zone) - local(then, zone)).days, "day")


def ago(then: datetime, now: datetime) -> str:
    """Return how long ago something was: 19 hours ago."""
    span = waited(then, now)
    return span if span == "just now" else f"{span} ago"


def counted(number: int, thing: str) -> str:
    """Return a number of things, the plural made with an s: 1 plot, 1,284 plots."""
    return f"{number:,} {thing}{'' if number == 1 else 's'}"


def kilos(grams: int) -> str:
    """Return grams as kilos with two decimals, so that figures stand under each other: 12.50."""
    return f"{(Decimal(grams) / _PER_KILO).quantize(_HUNDREDTH, ROUND_HALF_UP):,}"


def tail(last3: str) -> str:
    """Return a phone's number as pages may show it."""
    return f"…{last3}"


def worded(word: str, table: dict[str, str]) -> str:
    """Return a stored word in plain words; one the table does not know is shown as it is stored."""
    return table.get(word, word.replace("_", " "))


# What an administrator does before a hold is ended by hand; one without such words ends by itself.
ENDING_A_HOLD: Final = {
    "restored": "look at what was found, then release the texts",
    "clock": "put the clock right, then release the texts",
}
# What waits under each hold.
HOLD_REASONS: Final = {
    "restored": "Only emergency answers leave.",
    "clock": "Answers leave, what we push waits.",
    "disk": "Answers leave, what we push waits until there is room again, and then goes by itself.",
}


def pair(place: District | Place) -> tuple[int, str]:
    """Return a place as a list to choose from has it: its id and its name, with the district where it has one."""
    return (
        (place.id, f"{place.name}, {place.district}") if isinstance(place, Place) else (place.id, place.name)
    )


def given(typed: Mapping[str, str]) -> dict[str, str]:
    """Return what was typed into a search without what was left empty."""
    return {name: value for name, value in typed.items() if value}


def consent(last: ConsentFacts) -> str:
    """Return what was said last about being texted, before the day on which it was."""
    return CONSENTS.get((last.answer, last.way), f"{last.answer} ({last.way}),")


FILTERS: Final[dict[str, Callable[..., object]]] = {
    "long_day": long_day,
    "full_day": full_day,
    "short_day": short_day,
    "weekday": weekday,
    "weekdays": weekdays,
    "hour": hour,
    "local": local,
    "waited": waited,
    "ago": ago,
    "days_since": days_since,
    "counted": counted,
    "kilos": kilos,
    "tail": tail,
    "pair": pair,
    "given": given,
    "farmer_state": lambda word: worded(word, FARMER_STATES),
    "weight_state": lambda word: worded(word, WEIGHT_STATES),
    "deed": lambda word: worded(word, DEEDS),
    "message_state": lambda word: worded(word, MESSAGE_STATES),
    "never_arrived": lambda word: word in NEVER_ARRIVED,
    "urgency": lambda word: worded(word, URGENCIES),
    "hold_reason": lambda word: worded(word, HOLD_REASONS),
    "ending_a_hold": ENDING_A_HOLD.get,
    "consent": consent,
    "hazard": lambda word: worded(word, HAZARDS),
    "to_do": lambda danger: to_do(danger.hazard, danger.level),
    "danger_day": danger_day,
    "finding": lambda word: worded(word, SEEN),
    "kind": lambda word: worded(word, KINDS),
    "role": lambda word: worded(word, ROLES),
    "language": lambda word: worded(word, LANGUAGES),
    "precision": lambda word: worded(word, PRECISIONS),
    "cost_kind": lambda word: worded(word, COST_KINDS),
    "mulch": lambda word: worded(word, MULCHES),
}
