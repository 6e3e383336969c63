"""The states a phone's conversation can be in.

At most one question is open per phone. A state names that question; its data says what the question was about.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Final, TypeAlias

Plain: TypeAlias = "str | int | bool | list[Plain] | dict[str, Plain] | None"


class State(StrEnum):
    """The open question, or IDLE when there is none."""

    IDLE = "idle"
    JOIN_LANGUAGE = "join_language"
    JOIN_NAME = "join_name"
    JOIN_PLANTS = "join_plants"
    JOIN_DATE = "join_date"
    JOIN_WHICH_DATE = "join_which_date"
    JOIN_DISTRICT = "join_district"
    CONSENT = "consent"
    JOBS = "jobs"
    SCOUT = "scout"
    FLOWERS_STAY = "flowers_stay"
    KILOS = "kilos"
    VESSEL_KILOS = "vessel_kilos"
    ESTIMATE = "estimate"
    BARE_WEIGHT = "bare_weight"
    UNUSUAL = "unusual"
    ZERO = "zero"
    WHICH_KG = "which_kg"
    AGAIN = "again"
    SPRAY_DAYS = "spray_days"
    SPRAY_ORDER = "spray_order"
    SALE_WORTH = "sale_worth"
    SALE_SAME = "sale_same"
    COST_KIND = "cost_kind"
    WHOM = "whom"
    STOP_OR_UNDO = "stop_or_undo"
    NUDGE = "nudge"
    ALERT = "alert"
    LANGUAGE = "language"
    DAYS = "days"
    TEXT_DAY = "text_day"
    PICK_DAYS = "pick_days"
    DETAILS = "details"
    NEW_NAME = "new_name"
    NEW_PLANTS = "new_plants"
    NEW_DATE = "new_date"
    NEW_DATE_SURE = "new_date_sure"
    RECORDS = "records"
    ERASE = "erase"
    WRONG_NUMBER = "wrong_number"
    OFFER = "offer"
    BASKET_SURE = "basket_sure"
    QUESTION = "question"
    MENU = "menu"
    PLANT_COUNT = "plant_count"
    COUNT_SURE = "count_sure"


JOINING = frozenset(
    {
        State.JOIN_LANGUAGE,
        State.JOIN_NAME,
        State.JOIN_PLANTS,
        State.JOIN_DATE,
        State.JOIN_WHICH_DATE,
        State.JOIN_DISTRICT,
    }
)


# What a text about one job asks, where it is not simply answered as a list of one.
TASK_QUESTIONS: Final = {
    "scout": State.SCOUT,
    "flowers_stay": State.FLOWERS_STAY,
    "picking": State.KILOS,
    "recount": State.PLANT_COUNT,
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Conversation:
    """Where a phone's conversation stands.

    Attributes:
        state: the open question.
        data: what it is about; plain values only, since it is kept as JSON.
        farmer_id: whom it concerns, where a phone serves several farmers.
        misses: how often in a row the answer could not be understood.
    """

    state: State = State.IDLE
    data: Mapping[str, Plain] = field(default_factory=dict)
    farmer_id: int | None = None
    misses: int = 0

    def text(self, key: str) -> str | None:
        """Return the datum `key` if it is a text."""
        value = self.data.get(key)
        return value if isinstance(value, str) else None

    def whole(self, key: str) -> int | None:
        """Return the datum `key` if it is a whole number."""
        value = self.data.get(key)
        return value if isinstance(value, int) and not isinstance(value, bool) else None


IDLE = Conversation()

# Questions that a text of ours opened unasked, and no question at all.
PUSHED: Final = frozenset(
    {State.IDLE, State.JOBS, State.SCOUT, State.FLOWERS_STAY, State.NUDGE, State.ALERT, State.ESTIMATE}
)
