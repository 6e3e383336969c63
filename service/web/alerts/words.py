"""Alerts in words."""

from collections.abc import Mapping
from datetime import date
from textwrap import shorten
from typing import Any, Final

from flows.templates import TEMPLATES
from service.core.alert_states import STATE_WORDS, AlertState, Move
from service.core.alerts import EXCLUDED_WORDS
from service.core.nights import night_of

_FIRST_WORDS: Final = 50
ANSWERS: Final = {"understood": "understood or covered", "need_help": "need help"}
# What a button is called, where a move has one.
BUTTONS: Final[Mapping[Move, str]] = {
    Move.PAUSE: "Pause",
    Move.RESUME: "Send the rest",
    Move.CALL_OFF: "Call off the rest",
}
UNSENT: Final = {
    AlertState.DRAFT: "Throw it away",
    AlertState.WAITING_APPROVAL: "Decline",
    AlertState.SCHEDULED: "Call it off",
    AlertState.PARKED: "Call it off",
}


def title(template: str | None) -> str:
    """Return what an alert is about, as a heading has it."""
    chosen = TEMPLATES.get(template or "")
    return chosen.label.capitalize() if chosen else "Own words"


def gist(template: str | None, values: Mapping[str, Any]) -> str:
    """Return what tells an alert from others of its kind: a template's night and figure, or the first of own words."""
    chosen = TEMPLATES.get(template or "")
    if chosen:
        figure = f"{values['figure']} ({chosen.asks})" if values.get("figure") is not None else ""
        return ", ".join(filter(None, (night(template, values), figure)))
    words = next((str(text) for text in dict(values.get("words") or {}).values() if text), "")
    return shorten(words, _FIRST_WORDS, placeholder=" …")


def night(template: str | None, values: Mapping[str, Any]) -> str:
    """Return the night that a warning speaks of, by both its days; empty for one that speaks of none."""
    chosen = TEMPLATES.get(template or "")
    return night_of(date.fromisoformat(values["on"])) if chosen and chosen.night and values.get("on") else ""


def state(word: str) -> str:
    """Return an alert's state in plain words."""
    return STATE_WORDS[AlertState(word)]


def excluded(word: str) -> str:
    """Return a reason in plain words, after a number of phones."""
    return EXCLUDED_WORDS.get(word, word)


def call_off_button(word: str) -> str:
    """Return what calling off is called, by where the alert stands."""
    return UNSENT.get(AlertState(word), BUTTONS[Move.CALL_OFF])
