"""What each open question takes as its answer: the part of the conversation's table that belongs to one question.

Every number that a question offers stands here with its move; where texts could end, 1 lets all be as it is. A plain
word of the question is read as its number, see `flows.offers`.
"""

from typing import Final

from flows.answers_joining import JOINING_ANSWERS
from flows.effects import Finding
from flows.inputs import Harvest, Help, Input, NeedHelp, No, Number, Total, Understood, Undo, Words, Yes
from flows.moves import (
    alerts,
    baskets,
    collecting,
    correcting,
    costs,
    counting,
    details,
    doubts,
    general,
    harvests,
    jobs,
    menu,
    nudges,
    officers,
    records,
    sales,
    same_day,
    sprays,
    vessels,
    whom,
    wishes,
)
from flows.moves.turn import by_number, by_place
from flows.orders import Basket
from flows.remarks import Correct, Greeting
from flows.rows import About, Row
from flows.spraying import Sprayed
from flows.states import State
from flows.trading import Cost, Sold
from flows.vessels import VesselTold
from flows.wishes import Language

_asked = About.ASKED
_farmer = About.FARMER


# A weight is in question.
_DOUBT: Final[dict[type[Input], Row]] = {
    Yes: Row(doubts.right, _asked),
    No: Row(doubts.wrong, _asked),
    Number: Row(by_place(doubts.settle, doubts.unclear), _asked),
    Words: Row(doubts.unclear, _asked),
}

ANSWERS: Final[dict[State, dict[type[Input], Row]]] = {
    State.IDLE: {},
    **JOINING_ANSWERS,
    State.JOBS: {Number: Row(jobs.done_by_number, _asked)},
    State.SCOUT: {
        Number: Row(
            by_number(
                {
                    1: jobs.found(Finding.MITES),
                    2: jobs.found(Finding.SLUGS),
                    3: jobs.found(Finding.GREY_MOULD),
                    4: jobs.found(Finding.FLIES),
                    5: jobs.found(Finding.CLEAR),
                },
                jobs.scout_unclear,
            ),
            _asked,
        ),
        Words: Row(jobs.scout_unclear, _asked),
    },
    State.FLOWERS_STAY: {
        Number: Row(
            by_number({1: jobs.flowers_understood, 2: general.ask_what}, jobs.flowers_unclear), _asked
        ),
        Words: Row(jobs.flowers_unclear, _asked),
        Yes: Row(jobs.flowers_understood, _asked),
        Understood: Row(jobs.flowers_understood, _asked),
        No: Row(general.ask_what, _asked),
    },
    State.KILOS: {
        **{kind: Row(harvests.take_kilos, _asked) for kind in (Number, Words, No)},
        Correct: Row(correcting.answer, _asked),
    },
    State.VESSEL_KILOS: {
        **{kind: Row(vessels.take_kilos, _asked) for kind in (Number, Words, Yes, No)},
        VesselTold: Row(vessels.told_while_asked, _farmer),
    },
    State.ESTIMATE: {
        **{kind: Row(collecting.answer, _asked) for kind in (Number, Words, No)},
        Harvest: Row(collecting.nothing_picked, _farmer),
    },
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
        Correct: Row(correcting.answer, _asked),
    },
    State.UNUSUAL: _DOUBT,
    State.ZERO: _DOUBT,
    # Yes says nothing here: it would have to be a yes to one of two weights.
    State.WHICH_KG: {**_DOUBT, Yes: Row(doubts.unclear, _asked)},
    State.AGAIN: {
        **{kind: Row(same_day.unclear, _asked) for kind in (Words, Yes, No)},
        Number: Row(
            by_number({1: same_day.add, 2: same_day.replace_day, 3: same_day.leave}, same_day.unclear),
            _asked,
        ),
        Undo: Row(same_day.leave, _asked),
        Correct: Row(correcting.answer, _asked),
    },
    State.SPRAY_DAYS: {
        **{kind: Row(sprays.take_days, _asked) for kind in (Number, Words, Yes, No)},
        Sprayed: Row(sprays.told_again, _farmer),
    },
    State.SPRAY_ORDER: {
        Yes: Row(sprays.picked_first, _asked),
        No: Row(sprays.picked_after, _asked),
        Number: Row(
            by_number({1: sprays.picked_first, 2: sprays.picked_after}, sprays.order_unclear), _asked
        ),
        Words: Row(sprays.order_unclear, _asked),
    },
    State.SALE_WORTH: {
        # "Jumla" is all as well as the word for the total.
        **{kind: Row(sales.unclear, _asked) for kind in (Words, Yes, No, Total)},
        Number: Row(
            by_number({1: sales.for_each, 2: sales.for_all, 3: sales.neither}, sales.unclear),
            _asked,
        ),
        Undo: Row(sales.neither, _asked),
        Sold: Row(sales.told_anew, _farmer),
    },
    State.SALE_SAME: {
        **{kind: Row(sales.same_unclear, _asked) for kind in (Words, Yes, No)},
        Number: Row(by_number({1: sales.same_fruit, 2: sales.other_fruit}, sales.same_unclear), _asked),
        Undo: Row(sales.neither, _asked),
        Sold: Row(sales.told_anew, _farmer),
    },
    State.COST_KIND: {
        **{kind: Row(costs.unclear, _asked) for kind in (Words, Yes, No)},
        Number: Row(by_place(costs.kind_at, costs.unclear), _asked),
        Undo: Row(costs.left, _asked),
        Cost: Row(costs.told_anew, _farmer),
    },
    State.WHOM: {
        **{kind: Row(whom.take_whom) for kind in (Words, Yes, No)},
        Correct: Row(whom.take_numbered),
        Number: Row(by_place(whom.person_at, whom.take_whom)),
    },
    State.STOP_OR_UNDO: {
        Words: Row(general.cancel_unclear),
        Yes: Row(general.stop_agreed),
        No: Row(general.stop_declined),
        Number: Row(
            by_number(
                {1: general.go_on, 2: general.stop, 3: general.third_chosen},
                general.cancel_unclear,
            )
        ),
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
        ),
    },
    State.NUDGE: {
        Number: Row(
            by_number(
                {1: nudges.finished, 2: nudges.tomorrow, 3: nudges.not_needed, 4: nudges.help_},
                nudges.unclear,
            ),
            _asked,
        ),
        Yes: Row(nudges.finished, _asked),
        No: Row(nudges.unclear, _asked),
        Words: Row(nudges.unclear, _asked),
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
        # Thanks for a warning do not say that it is understood.
        Greeting: Row(alerts.unclear, _asked),
    },
    State.LANGUAGE: {
        **{kind: Row(wishes.take_language, _asked) for kind in (Words, Language, Yes, No)},
        Number: Row(by_place(wishes.language_at, wishes.take_language), _asked),
    },
    State.DAYS: {
        **{kind: Row(wishes.days_unclear, _asked) for kind in (Words, Yes, No)},
        Number: Row(by_number({1: wishes.text_day, 2: wishes.pick_days}, wishes.days_unclear), _asked),
    },
    State.TEXT_DAY: {kind: Row(wishes.take_text_day, _asked) for kind in (Number, Words, Yes, No)},
    State.PICK_DAYS: {kind: Row(wishes.take_pick_days, _asked) for kind in (Number, Words, Yes, No)},
    State.DETAILS: {
        **{kind: Row(details.unclear, _asked) for kind in (Yes, No)},
        Words: Row(details.take_told, _asked),
        Number: Row(by_number({1: details.name, 2: details.plants, 3: details.day}, details.unclear), _asked),
    },
    State.NEW_NAME: {kind: Row(details.take_name, _asked) for kind in (Number, Words, Greeting, Yes, No)},
    State.NEW_PLANTS: {kind: Row(details.take_plants, _asked) for kind in (Number, Words, Yes, No)},
    State.NEW_DATE: {kind: Row(details.take_day, _asked) for kind in (Number, Words, Yes, No)},
    State.NEW_DATE_SURE: {
        Yes: Row(details.replant, _asked),
        No: Row(details.keep, _asked),
        Undo: Row(details.keep, _asked),
        Number: Row(by_number({1: details.replant, 2: details.keep}, details.unsure), _asked),
        Words: Row(details.unsure, _asked),
    },
    State.RECORDS: {
        **{kind: Row(records.unclear, _asked) for kind in (Words, Yes, No)},
        Number: Row(by_number({1: records.show, 2: records.ask_erase}, records.unclear), _asked),
    },
    State.ERASE: {
        Yes: Row(records.erase, _asked),
        No: Row(records.keep, _asked),
        Undo: Row(records.keep, _asked),
        Number: Row(by_number({1: records.keep, 2: records.erase}, records.erase_unclear), _asked),
        Words: Row(records.erase_unclear, _asked),
    },
    State.WRONG_NUMBER: {
        Yes: Row(records.unlink),
        No: Row(records.still_theirs),
        Undo: Row(records.still_theirs),
        Number: Row(by_number({1: records.still_theirs, 2: records.unlink}, records.unlink_unclear)),
        Words: Row(records.unlink_unclear),
    },
    State.PLANT_COUNT: {kind: Row(counting.take, _asked) for kind in (Number, Words, Yes, No)},
    State.COUNT_SURE: {
        Yes: Row(counting.right, _asked),
        No: Row(counting.wrong, _asked),
        Undo: Row(counting.wrong, _asked),
        Number: Row(by_number({1: counting.right, 2: counting.wrong}, counting.unclear), _asked),
        Words: Row(counting.unclear, _asked),
    },
    State.BASKET_SURE: {
        Yes: Row(baskets.right),
        **{kind: Row(baskets.wrong) for kind in (No, Undo)},
        Number: Row(by_number({1: baskets.right, 2: baskets.wrong}, baskets.unclear)),
        Words: Row(baskets.unclear),
        Basket: Row(baskets.told_anew),
    },
    State.OFFER: {
        Yes: Row(officers.send),
        No: Row(officers.leave),
        Undo: Row(officers.leave),
        Number: Row(by_number({1: officers.send, 2: officers.leave}, officers.unclear)),
        Words: Row(officers.unclear),
    },
}
