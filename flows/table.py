"""The conversation as a table: (open question, what was understood) -> move.

Rules of this table:

* A row that is absent is an illegal move; `flows.engine` answers it with `general.words`, never with an error.
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
from flows.moves import general, harvests, jobs, joining, menu, whom
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

ANSWERS: Final[dict[State, dict[type[Input], Row]]] = {
    State.IDLE: {},
    State.JOIN_LANGUAGE: {Number: Row(joining.take_language), Words: Row(joining.take_language)},
    State.JOIN_NAME: {Words: Row(joining.take_name), Number: Row(joining.take_name)},
    State.JOIN_PLANTS: {Number: Row(joining.take_plants), Words: Row(joining.take_plants)},
    State.JOIN_DATE: {Words: Row(joining.take_date), Number: Row(joining.take_date)},
    State.JOIN_WHICH_DATE: {Number: Row(joining.take_which_date), Words: Row(joining.take_which_date)},
    State.JOIN_DISTRICT: {Number: Row(joining.take_district), Words: Row(joining.take_district)},
    State.CONSENT: {
        Yes: Row(joining.agree, _asked),
        No: Row(joining.decline, _asked),
        Number: Row(joining.consent_by_number, _asked),
        Words: Row(joining.consent_unclear, _asked),
    },
    State.JOBS: {Number: Row(jobs.done_by_number, _asked)},
    State.SCOUT: {Number: Row(jobs.scout, _asked)},
    State.FLOWERS_STAY: {Number: Row(jobs.flowers_stay, _asked), Yes: Row(jobs.flowers_understood, _asked)},
    State.KILOS: {Number: Row(harvests.take_kilos, _asked), Words: Row(harvests.take_kilos, _asked)},
    State.BARE_WEIGHT: {
        Yes: Row(harvests.bare_weight_yes, _asked),
        No: Row(harvests.bare_weight_no, _asked),
        Number: Row(harvests.bare_weight_number, _asked),
    },
    State.UNUSUAL: {
        Yes: Row(harvests.doubt_yes, _asked),
        No: Row(harvests.doubt_no, _asked),
        Number: Row(harvests.doubt_number, _asked),
    },
    State.ZERO: {
        Yes: Row(harvests.doubt_yes, _asked),
        No: Row(harvests.doubt_no, _asked),
        Number: Row(harvests.doubt_number, _asked),
    },
    State.WHICH_KG: {Number: Row(harvests.doubt_number, _asked), No: Row(harvests.doubt_no, _asked)},
    State.AGAIN: {Number: Row(harvests.again, _asked)},
    State.WHOM: {Number: Row(whom.take_whom)},
    State.STOP_OR_UNDO: {Number: Row(general.stop_or_undo)},
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


def row(state: State, understood: type[Input]) -> Row | None:
    """Return the row for an input in a state, None where there is no such move."""
    return ANSWERS[state].get(understood) or COMMANDS.get(understood) or LOOSE.get(understood)
