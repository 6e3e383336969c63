"""What the questions of joining take as their answers, that for consent with them: see `flows.answers`."""

from typing import Final

from flows.inputs import Input, No, Number, Undo, Words, Yes
from flows.moves import consent, general, joining
from flows.moves.turn import Move, by_number, by_place
from flows.remarks import Greeting
from flows.rows import About, Row
from flows.states import State
from flows.wishes import Language

_asked = About.ASKED


def _joining(take: Move) -> dict[type[Input], Row]:
    """Return the rows of a question to somebody who joins: `take` looks for the answer in what was texted."""
    return {
        Number: Row(take),
        Words: Row(take),
        Greeting: Row(take),
        Yes: Row(joining.ask_again),
        No: Row(joining.ask_again),
        Undo: Row(joining.back),
    }


JOINING_ANSWERS: Final[dict[State, dict[type[Input], Row]]] = {
    State.JOIN_LANGUAGE: {
        **_joining(joining.take_language),
        Number: Row(by_place(joining.language_at, general.no_active_farmer)),
        Language: Row(joining.take_language),
    },
    State.JOIN_NAME: _joining(joining.take_name),
    State.JOIN_PLANTS: _joining(joining.take_plants),
    State.JOIN_DATE: _joining(joining.take_date),
    State.JOIN_WHICH_DATE: {
        **_joining(joining.take_date),
        Number: Row(by_number({1: joining.first_date, 2: joining.second_date}, joining.take_date)),
    },
    State.JOIN_DISTRICT: {
        **_joining(joining.take_district),
        Number: Row(by_place(joining.district_at, joining.take_district)),
    },
    State.CONSENT: {
        Yes: Row(consent.agree, _asked),
        No: Row(consent.decline, _asked),
        Number: Row(by_number({1: consent.agree, 2: consent.decline}, consent.unclear), _asked),
        Words: Row(consent.unclear, _asked),
        Greeting: Row(consent.unclear, _asked),
        Undo: Row(consent.unclear, _asked),
    },
}
