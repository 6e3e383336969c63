"""The conversation as a table: (open question, what was understood) -> move.

Rules of this table:

* A question takes only what its row in ANSWERS has; what is absent there is no answer to it, and is met by COMMANDS
  or LOOSE, which together know every kind of input: no text is ever an error.
* COMMANDS hold whatever the open question is: stopping, emergencies and every word with a meaning of its own.
* ANSWERS belong to one question. Bare numbers, yes and no stand only here and in LOOSE.
* LOOSE says what is done with a text when its question has no row for it.
* A row that needs a farmer is asked "for whom?" first where the phone speaks for several; one that needs the
  pending farmer is about the person who was asked for consent. What is kept of them concerns those, too, who have
  stopped.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from flows.inputs import (
    Alerts,
    Ask,
    Cancel,
    Days,
    Distress,
    Done,
    Emergency,
    Harvest,
    Help,
    Input,
    Jobs,
    Join,
    Language,
    NeedHelp,
    No,
    NotYet,
    Number,
    Pause,
    Records,
    Stop,
    Total,
    Understood,
    Undo,
    Who,
    Words,
    WrongNumber,
    Yes,
)
from flows.moves import (
    alerts,
    consent,
    general,
    harvests,
    jobs,
    joining,
    menu,
    nudges,
    officers,
    records,
    whom,
    wishes,
)
from flows.moves.turn import Move, by_number
from flows.orders import Counts, Warn
from flows.states import State


class About(StrEnum):
    """Whom a move is about."""

    NOBODY = "nobody"
    FARMER = "farmer"
    KNOWN = "known"
    ASKED = "asked"


@dataclass(frozen=True, slots=True)
class Row:
    """A move, whom it is about, and whether a word for it ends a pause."""

    move: Move
    about: About = About.NOBODY
    resumes: bool = False


_farmer = About.FARMER
_asked = About.ASKED

COMMANDS: Final[dict[type[Input], Row]] = {
    Emergency: Row(general.emergency),
    Distress: Row(general.distress),
    Stop: Row(general.stop),
    Cancel: Row(general.cancel),
    Help: Row(general.help_),
    Who: Row(wishes.who),
    WrongNumber: Row(records.wrong_number),
    Alerts: Row(alerts.choose),
    Join: Row(officers.join, resumes=True),
    Counts: Row(officers.counts),
    Warn: Row(officers.warn),
    Undo: Row(general.undo, resumes=True),
    Ask: Row(general.ask, resumes=True),
    Harvest: Row(harvests.harvest, _farmer, resumes=True),
    Done: Row(jobs.done, _farmer, resumes=True),
    NotYet: Row(nudges.not_yet, _farmer, resumes=True),
    NeedHelp: Row(nudges.need_help, _farmer, resumes=True),
    Jobs: Row(jobs.jobs, _farmer, resumes=True),
    Total: Row(general.total, _farmer, resumes=True),
    Language: Row(wishes.language, _farmer, resumes=True),
    Days: Row(wishes.days, _farmer, resumes=True),
    Records: Row(records.records, About.KNOWN),
    Pause: Row(wishes.pause, _farmer),
}


def _joining(take: Move) -> dict[type[Input], Row]:
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
    State.JOIN_LANGUAGE: {**_joining(joining.take_language), Language: Row(joining.take_language)},
    State.JOIN_NAME: _joining(joining.take_name),
    State.JOIN_PLANTS: _joining(joining.take_plants),
    State.JOIN_DATE: _joining(joining.take_date),
    State.JOIN_WHICH_DATE: _joining(joining.take_which_date),
    State.JOIN_DISTRICT: _joining(joining.take_district),
    State.CONSENT: {
        Yes: Row(consent.agree, _asked),
        No: Row(consent.decline, _asked),
        Number: Row(by_number({1: consent.agree, 2: consent.decline}, consent.unclear), _asked),
        Words: Row(consent.unclear, _asked),
        Undo: Row(consent.unclear, _asked),
    },
    State.JOBS: {Number: Row(jobs.done_by_number, _asked)},
    State.SCOUT: {Number: Row(jobs.scout, _asked)},
    State.FLOWERS_STAY: {
        Number: Row(
            by_number({1: jobs.flowers_understood, 2: general.ask_what}, jobs.flowers_unclear), _asked
        ),
        Yes: Row(jobs.flowers_understood, _asked),
        Understood: Row(jobs.flowers_understood, _asked),
        No: Row(general.ask_what, _asked),
    },
    State.KILOS: {kind: Row(harvests.take_kilos, _asked) for kind in (Number, Words, No)},
    State.BARE_WEIGHT: {
        Yes: Row(harvests.bare_weight_yes, _asked),
        No: Row(harvests.bare_weight_no, _asked),
        Number: Row(
            by_number(
                {1: harvests.bare_weight_yes, 2: harvests.bare_weight_no}, harvests.bare_weight_unclear
            ),
            _asked,
        ),
        Words: Row(harvests.bare_weight_unclear, _asked),
        Undo: Row(harvests.bare_weight_no, _asked),
    },
    State.UNUSUAL: _DOUBT,
    State.ZERO: _DOUBT,
    # Yes says nothing here: it would have to be a yes to one of two weights.
    State.WHICH_KG: {**_DOUBT, Yes: Row(harvests.doubt_number, _asked)},
    State.AGAIN: {
        **{kind: Row(harvests.again_unclear, _asked) for kind in (Words, Yes, No)},
        Number: Row(
            by_number({1: harvests.add, 2: harvests.replace_day, 3: harvests.leave}, harvests.again_unclear),
            _asked,
        ),
        Undo: Row(harvests.leave, _asked),
    },
    State.WHOM: {kind: Row(whom.take_whom) for kind in (Number, Words, Yes, No)},
    State.STOP_OR_UNDO: {
        **{kind: Row(general.cancel_unclear) for kind in (Words, Yes, No)},
        Number: Row(by_number({1: general.undo_chosen, 2: general.stop}, general.cancel_unclear)),
        Undo: Row(general.undo_chosen),
    },
    State.QUESTION: {
        Words: Row(general.take_question),
        Number: Row(general.take_question),
        Yes: Row(general.take_question),
        No: Row(general.take_question),
    },
    State.MENU: {
        Number: Row(
            by_number({1: menu.weight, 2: menu.job_done, 3: menu.question, 4: menu.help_}, menu.unclear),
            _farmer,
        )
    },
    State.NUDGE: {
        Number: Row(nudges.answer, _asked),
        Yes: Row(nudges.finished, _asked),
        No: Row(nudges.answer, _asked),
    },
    State.ALERT: {
        Number: Row(by_number({1: alerts.understood, 2: alerts.need_help}, alerts.unclear), _asked),
        Understood: Row(alerts.understood, _asked),
        Yes: Row(alerts.understood, _asked),
        No: Row(alerts.unclear, _asked),
        # The second answer, sent as its word instead of its number.
        NeedHelp: Row(alerts.need_help, _asked),
        Help: Row(alerts.need_help, _asked),
        Words: Row(alerts.in_words, _asked),
    },
    State.LANGUAGE: {kind: Row(wishes.take_language, _asked) for kind in (Number, Words, Language, Yes, No)},
    State.DAYS: {kind: Row(wishes.which_days, _asked) for kind in (Number, Words, Yes, No)},
    State.TEXT_DAY: {kind: Row(wishes.take_text_day, _asked) for kind in (Number, Words, Yes, No)},
    State.PICK_DAYS: {kind: Row(wishes.take_pick_days, _asked) for kind in (Number, Words, Yes, No)},
    State.RECORDS: {
        **{kind: Row(records.unclear, _asked) for kind in (Words, Yes, No)},
        Number: Row(by_number({1: records.show, 2: records.ask_erase}, records.unclear), _asked),
    },
    State.ERASE: {
        Yes: Row(records.erase, _asked),
        No: Row(records.keep, _asked),
        Undo: Row(records.keep, _asked),
        Number: Row(by_number({1: records.erase, 2: records.keep}, records.erase_unclear), _asked),
        Words: Row(records.erase_unclear, _asked),
    },
    State.WRONG_NUMBER: {
        Yes: Row(records.unlink),
        No: Row(records.still_theirs),
        Undo: Row(records.still_theirs),
        Number: Row(by_number({1: records.unlink, 2: records.still_theirs}, records.unlink_unclear)),
        Words: Row(records.unlink_unclear),
    },
    State.OFFER: {
        Yes: Row(officers.send),
        No: Row(officers.leave),
        Undo: Row(officers.leave),
        Number: Row(by_number({1: officers.send, 2: officers.leave}, officers.unclear)),
        Words: Row(officers.unclear),
    },
}

LOOSE: Final[dict[type[Input], Row]] = {
    Number: Row(harvests.bare_number, _farmer),
    Yes: Row(general.silence),
    No: Row(general.silence),
    Understood: Row(general.silence),
    Words: Row(general.words),
}


def row(state: State, understood: type[Input]) -> Row:
    """Return the row for an input in a state."""
    return ANSWERS[state].get(understood) or COMMANDS.get(understood) or LOOSE[understood]
