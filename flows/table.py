"""The conversation as a table: (open question, what was understood) -> move.

Rules of this table:

* A question takes only what its row in ANSWERS has; what is absent there is no answer to it, and is met by COMMANDS
  or LOOSE, which together know every kind of input: no text is ever an error.
* COMMANDS hold whatever the open question is: stopping, emergencies and every word with a meaning of its own.
* ANSWERS belong to one question. Bare numbers, yes and no stand only here and in LOOSE.
* LOOSE says what is done with a text when its question has no row for it.
* A row that needs a farmer is asked "for whom?" first where the phone speaks for several; one that needs the
  pending farmer is about the person who was asked for consent.
"""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from flows.inputs import (
    Ask,
    Cancel,
    Distress,
    Done,
    Emergency,
    Harvest,
    Help,
    Input,
    Jobs,
    Join,
    No,
    Number,
    Stop,
    Total,
    Undo,
    Words,
    Yes,
)
from flows.moves import consent, general, harvests, jobs, joining, menu, whom
from flows.moves.turn import Moment, Turn
from flows.states import State


class About(StrEnum):
    """Whom a move is about."""

    NOBODY = "nobody"
    FARMER = "farmer"
    ASKED = "asked"


@dataclass(frozen=True, slots=True)
class Row:
    """A move, and whom it is about."""

    move: Callable[[Moment], Turn]
    about: About = About.NOBODY


_farmer = About.FARMER
_asked = About.ASKED

COMMANDS: Final[dict[type[Input], Row]] = {
    Emergency: Row(general.emergency),
    Distress: Row(general.distress),
    Stop: Row(general.stop),
    Cancel: Row(general.cancel),
    Help: Row(general.help_),
    Join: Row(joining.join),
    Undo: Row(general.undo),
    Ask: Row(general.ask),
    Harvest: Row(harvests.harvest, _farmer),
    Done: Row(jobs.done, _farmer),
    Jobs: Row(jobs.jobs, _farmer),
    Total: Row(general.total, _farmer),
}


def _joining(take: Callable[[Moment], Turn]) -> dict[type[Input], Row]:
    """Return the rows of a question to somebody who joins: `take` looks for the answer in what was texted."""
    return {
        Number: Row(take),
        Words: Row(take),
        Yes: Row(joining.ask_again),
        No: Row(joining.ask_again),
        Undo: Row(joining.back),
    }


# A weight is in question.
_DOUBT: Final[dict[type[Input], Row]] = {
    Yes: Row(harvests.doubt_yes, _asked),
    No: Row(harvests.doubt_no, _asked),
    Number: Row(harvests.doubt_number, _asked),
    Words: Row(harvests.doubt_number, _asked),
}

ANSWERS: Final[dict[State, dict[type[Input], Row]]] = {
    State.IDLE: {},
    State.JOIN_LANGUAGE: _joining(joining.take_language),
    State.JOIN_NAME: _joining(joining.take_name),
    State.JOIN_PLANTS: _joining(joining.take_plants),
    State.JOIN_DATE: _joining(joining.take_date),
    State.JOIN_WHICH_DATE: _joining(joining.take_which_date),
    State.JOIN_DISTRICT: _joining(joining.take_district),
    State.CONSENT: {
        Yes: Row(consent.agree, _asked),
        No: Row(consent.decline, _asked),
        Number: Row(consent.by_number, _asked),
        Words: Row(consent.unclear, _asked),
        Undo: Row(consent.unclear, _asked),
    },
    State.JOBS: {Number: Row(jobs.done_by_number, _asked)},
    State.SCOUT: {Number: Row(jobs.scout, _asked)},
    State.FLOWERS_STAY: {
        Number: Row(jobs.flowers_stay, _asked),
        Yes: Row(jobs.flowers_understood, _asked),
        No: Row(general.ask_what, _asked),
    },
    State.KILOS: {kind: Row(harvests.take_kilos, _asked) for kind in (Number, Words, No)},
    State.BARE_WEIGHT: {
        Yes: Row(harvests.bare_weight_yes, _asked),
        No: Row(harvests.bare_weight_no, _asked),
        Number: Row(harvests.bare_weight_number, _asked),
        Words: Row(harvests.bare_weight_number, _asked),
        Undo: Row(harvests.bare_weight_no, _asked),
    },
    State.UNUSUAL: _DOUBT,
    State.ZERO: _DOUBT,
    # Yes says nothing here: it would have to be a yes to one of two weights.
    State.WHICH_KG: {**_DOUBT, Yes: Row(harvests.doubt_number, _asked)},
    State.AGAIN: {
        **{kind: Row(harvests.again, _asked) for kind in (Number, Words, Yes, No)},
        Undo: Row(harvests.leave, _asked),
    },
    State.WHOM: {kind: Row(whom.take_whom) for kind in (Number, Words, Yes, No)},
    State.STOP_OR_UNDO: {
        **{kind: Row(general.stop_or_undo) for kind in (Number, Words, Yes, No)},
        Undo: Row(general.undo_chosen),
    },
    State.QUESTION: {
        Words: Row(general.take_question),
        Number: Row(general.take_question),
        Yes: Row(general.take_question),
        No: Row(general.take_question),
    },
    State.MENU: {Number: Row(menu.choose, _farmer)},
}

LOOSE: Final[dict[type[Input], Row]] = {
    Number: Row(harvests.bare_number, _farmer),
    Yes: Row(general.silence),
    No: Row(general.silence),
    Words: Row(general.words),
}


def row(state: State, understood: type[Input]) -> Row:
    """Return the row for an input in a state."""
    return ANSWERS[state].get(understood) or COMMANDS.get(understood) or LOOSE[understood]
