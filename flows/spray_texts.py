"""Texts about sprays: what was told, what is to be known of it, and the days without picking."""

from collections.abc import Mapping
from typing import Final

from flows.promised import Filling, Text

_HOLD_DAYS: Final[Mapping[str, Filling]] = {"n": "365"}

SPRAY_TEXTS: Final[dict[str, Text]] = {
    "spray_ask_days": Text(values="date"),
    "spray_hold": Text(values="date date_free"),
    "spray_unknown": Text(values="date n date_free", longest=_HOLD_DAYS),
    "spray_over": Text(values="date date_free"),
    "spray_hold_order": Text(values="date date_free"),
    "spray_unknown_order": Text(values="date date_free"),
    "spray_over_order": Text(values="date date_free"),
    "spray_order": Text(values="date"),
    "spray_after_picking": Text(values="kg date date_free"),
    "spray_before_picking": Text(values="kg date date_free"),
    "spray_no_day": Text(),
    "spray_old": Text(),
    "undone_spray": Text(values="date"),
    "undone_spray_held": Text(values="date date_free"),
    "harvest_in_hold": Text(values="kg date date_sprayed date_free"),
    "hold_over": Text(values="name date_sprayed"),
}

# Answers that promise a hold: for as long as the programme waits where nobody knows the label, or as the label says.
HELD_LONGEST: Final = frozenset({"spray_ask_days", "spray_unknown", "spray_unknown_order"})
HELD_AS_TOLD: Final = frozenset({"spray_hold", "spray_hold_order"})
