"""Stop, undo, total, help, questions, emergencies, and what is said when nothing fits."""

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from flows.alarms import Distress, Emergency
from flows.alphabet import clip
from flows.effects import Say, StopPhone, UndoDone, Urgency
from flows.facts import FarmerState, Saved, SavedKind
from flows.first_aid_texts import DESPAIR, OF_HARM, WITHOUT_NUMBER
from flows.inputs import Ask, Cancel, Help, Undo, Words, Yes
from flows.moves import consent, costs, joining, sales, strangers, water
from flows.moves.estimate_back import undo_estimate
from flows.moves.sprays import undo_spray
from flows.moves.turn import Moment, Turn, asked, ended, gone_on, missed, question_noted, settled, unchanged
from flows.remarks import Greeting
from flows.states import IDLE, JOINING, State
from flows.weighed import VoidHarvest
from flows.wording import Grams, Name, Phrase

LONGEST_QUOTE: Final = 20
_HELP: Final = {2: "help_more", 3: "help_money"}
_STOP_OR_UNDO: Final = "stop_or_undo"
_STOP_SURE: Final = "stop_sure"
# What "take back" means while a weight or money is talked about that is not kept yet: that is let go.
_LET_GO: Final = {
    State.AGAIN: "harvest_left",
    State.BARE_WEIGHT: "harvest_dropped",
    State.SALE_WORTH: "sale_left",
    State.SALE_SAME: "sale_left",
    State.COST_KIND: "cost_left",
}
# What is asked again of somebody who has not joined yet and sends something else.
_ASKED_OF_NEWCOMERS: Final[dict[State, Callable[[Moment], Turn]]] = {
    **dict.fromkeys(JOINING, joining.ask_again),
    State.CONSENT: consent.unclear,
}


def stop(moment: Moment) -> Turn:
    """Stop all texts to this phone, at once."""
    return Turn(conversation=IDLE, effects=(StopPhone(), moment.say("stopped")), why="stop")


def cancel(moment: Moment) -> Turn:
    """Ask once what "cancel" is to mean; what is pushed rests until it is answered."""
    # Asked twice, what it was asked under first still counts.
    under = moment.conversation.text("under") or moment.conversation.state
    asks = _STOP_SURE if moment.expect(Cancel).angry else _STOP_OR_UNDO
    why = "undo or stop is asked" if asks == _STOP_OR_UNDO else "whether to stop is asked"
    return asked(moment, why, State.STOP_OR_UNDO, moment.say(asks), under=under, asks=asks)


def cancel_unclear(moment: Moment) -> Turn:
    """Ask once more: undo or stop, or whether to stop."""
    asks = _STOP_SURE if _of_stop_alone(moment) else _STOP_OR_UNDO
    return missed(moment, "none of what was offered", moment.say(asks))


def stop_agreed(moment: Moment) -> Turn:
    """Stop after a yes, where stopping was all that was asked about."""
    return stop(moment) if _of_stop_alone(moment) else cancel_unclear(moment)


def stop_declined(moment: Moment) -> Turn:
    """Go on after a no, where stopping was all that was asked about."""
    return go_on(moment) if _of_stop_alone(moment) else cancel_unclear(moment)


def third_chosen(moment: Moment) -> Turn:
    """Take back, where that was offered beside stopping."""
    return cancel_unclear(moment) if _of_stop_alone(moment) else undo_chosen(moment)


def go_on(moment: Moment) -> Turn:
    """Leave everything as it is: wherever texts could end, 1 says so."""
    return settled(ended(moment), "texts go on", moment.say("texts_go_on"))


def _of_stop_alone(moment: Moment) -> bool:
    return moment.conversation.text("asks") == _STOP_SURE


def undo_chosen(moment: Moment) -> Turn:
    """Take back what the farmer meant with "cancel"."""
    kept = moment.conversation.text("under")
    let_go = _LET_GO.get(State(kept)) if kept else None
    here = ended(moment)
    return settled(here, "what was talked about is let go", here.say(let_go)) if let_go else undo(here)


def undo(moment: Moment) -> Turn:
    """Take back the last thing this phone saved within a day; who has stopped means the STOP, and is told of JOIN."""
    if has_stopped(moment):
        return no_active_farmer(moment)
    saved = moment.facts.saved
    if saved is None:
        return settled(moment, "nothing to take back", moment.say("undo_none"))
    said = moment.input.grams if isinstance(moment.input, Undo) else None
    if said is not None and (saved.kind is not SavedKind.HARVEST or saved.grams != said):
        return settled(moment, "that weight was not the last thing kept", moment.say("correct_none"))
    moves = {
        SavedKind.HARVEST: _undo_harvest,
        SavedKind.JOB: _undo_job,
        SavedKind.RAIN: water.undo_rain,
        SavedKind.SPRAY: undo_spray,
        SavedKind.SALE: sales.undo_sale,
        SavedKind.COST: costs.undo_cost,
        SavedKind.ESTIMATE: undo_estimate,
    }
    return moves[saved.kind](moment, saved)


def _undo_harvest(moment: Moment, saved: Saved) -> Turn:
    farmer = moment.facts.farmer(saved.farmer_id)
    counted = (farmer.weights.total if farmer else 0) - (0 if saved.in_question else saved.grams)
    total = Grams(counted + saved.replaced)
    kg, name = Grams(saved.grams), _whose(moment, saved)
    say = (
        moment.say("undone_harvest_of", name=name, kg=kg, date=saved.on, total=total)
        if name
        else moment.say("undone_harvest", kg=kg, date=saved.on, total=total)
    )
    # The question about a weight ends with the weight.
    about_it = moment.conversation.whole("harvest") == saved.id
    here = ended(moment) if about_it else moment
    return settled(
        here, "the last weight is taken back", VoidHarvest(id=saved.id, farmer_id=saved.farmer_id), say
    )


def _whose(moment: Moment, saved: Saved) -> Name | None:
    """Return the name of whose it was that is taken back, where the phone speaks for several."""
    farmer = moment.facts.farmer(saved.farmer_id)
    several = len(moment.facts.with_state(FarmerState.ACTIVE)) > 1
    return Name(farmer.name) if farmer and several else None


def _undo_job(moment: Moment, saved: Saved) -> Turn:
    name = _whose(moment, saved)
    say = (
        moment.say("undone_job_of", name=name, job=saved.label)
        if name
        else moment.say("undone_job", job=saved.label)
    )
    return settled(
        moment, "the last job is open again", UndoDone(id=saved.id, farmer_id=saved.farmer_id), say
    )


def total(moment: Moment) -> Turn:
    """Say what was picked since the first pick and in the last twelve months."""
    farmer = moment.someone()
    weights = farmer.weights
    if weights.first_on is None:
        return settled(moment, "nothing picked yet", moment.say("total_none", name=Name(farmer.name)))
    say = moment.say(
        "total",
        name=Name(farmer.name),
        total=Grams(weights.total),
        date_first=weights.first_on,
        year_total=Grams(weights.last_year),
    )
    return settled(moment, "the total is told", say)


def help_(moment: Moment) -> Turn:
    """Say which words can be texted; the open question stays open."""
    active = moment.facts.with_state(FarmerState.ACTIVE)
    page = moment.input.page if isinstance(moment.input, Help) else 1
    strangers = "officer_help" if moment.facts.desk else "help_stranger"
    text_id = _HELP.get(page, "help") if active else strangers
    return unchanged(moment, "help", moment.say(text_id))


def ask(moment: Moment) -> Turn:
    """Put a question on the officer's list, or ask for it."""
    question = moment.expect(Ask).text
    return question_noted(moment, question) if question else ask_what(moment)


def ask_what(moment: Moment) -> Turn:
    """Ask for the question itself."""
    return asked(moment, "the question is asked for", State.QUESTION, moment.say("ask_what"))


def take_question(moment: Moment) -> Turn:
    """Take the whole text as the question that was asked for."""
    return question_noted(ended(moment), moment.text)


def emergency(moment: Moment) -> Turn:
    """Someone may be poisoned or hurt: first aid at once, whatever else is open, and an officer's list."""
    alarm = moment.expect(Emergency)
    return _alarm(moment, OF_HARM[alarm.harm], alarm.text)


def distress(moment: Moment) -> Turn:
    """Someone may want to harm themselves: a humane word with a number to call, and an officer's list."""
    return _alarm(moment, DESPAIR, moment.expect(Distress).text)


def _alarm(moment: Moment, text_id: str, text: str) -> Turn:
    number = moment.facts.emergency_number
    phrase = Phrase(text_id, {"number": number}) if number else Phrase(WITHOUT_NUMBER[text_id])
    # Whoever holds the phone now may not read the language that its farmer chose.
    say = Say(phrase=phrase, language=moment.reading.language or moment.language, kind="emergency")
    return unchanged(moment, "words of an emergency", moment.note(text, Urgency.EMERGENCY), say)


def greeting(moment: Moment) -> Turn:
    """Answer a greeting or thanks in a few words; what was asked stays open. Who has not joined is asked to."""
    strange = not moment.facts.farmers and not moment.facts.stopped and moment.conversation == IDLE
    if strange and moment.expect(Greeting).thanks:
        return unchanged(moment, "thanks of a stranger", moment.say("who_stranger", svc=moment.facts.service))
    if not moment.facts.with_state(FarmerState.ACTIVE):
        return no_active_farmer(moment)
    text_id = "thanked" if moment.expect(Greeting).thanks else "greeted"
    return unchanged(moment, "a greeting", moment.say(text_id))


def words(moment: Moment) -> Turn:
    """Answer a text that no row of the open question could take."""
    said = moment.input
    if moment.facts.with_state(FarmerState.ACTIVE):
        if isinstance(said, Words) and said.question:
            return question_noted(moment, said.text)
        answered = moment.facts.answered
        if answered:
            return gone_on(moment, answered)
        turn = offer_menu(moment, "not understood")
        # A list that was sent to one of several says nothing of whom other words are about.
        whose = replace(moment, farmer=None).speaker
        return replace(turn, conversation=replace(turn.conversation, farmer_id=whose))
    return no_active_farmer(moment)


def quoted(moment: Moment) -> str:
    """Return as many whole words of a text as an answer can quote, in letters that cost nothing."""
    quote = clip(moment.text, at_most=LONGEST_QUOTE)
    more = clip(moment.text, at_most=LONGEST_QUOTE + 1)
    within = len(more) > len(quote) and " " in quote
    return quote.rsplit(" ", 1)[0] if within else quote


def offer_menu(moment: Moment, why: str) -> Turn:
    """Offer four things the text may have meant."""
    say = moment.say("not_understood", text=quoted(moment))
    turn = missed(moment, why, say)
    # Not about whom the question before was: "asha 2" under Neema's list may be a weight of Asha's.
    return replace(
        turn, conversation=replace(turn.conversation, state=State.MENU, data={}, farmer_id=moment.speaker)
    )


def has_stopped(moment: Moment) -> bool:
    """Return whether this phone gets no texts by its own word: nothing that was kept before is changed by it."""
    facts = moment.facts
    stopped = facts.stopped or bool(facts.with_state(FarmerState.STOPPED))
    return stopped and not facts.with_state(FarmerState.ACTIVE)


def no_active_farmer(moment: Moment) -> Turn:
    """Answer a phone that speaks for nobody who has joined."""
    facts = moment.facts
    pending = facts.with_state(FarmerState.PENDING)
    nobody = not (facts.farmers or facts.stopped or facts.desk)
    if nobody and (clear := strangers.answered(moment)):
        return clear
    open_question = _ASKED_OF_NEWCOMERS.get(moment.conversation.state)
    if open_question:
        return open_question(moment)
    if pending:
        return consent.ask_again(moment, pending[0])
    if facts.stopped or facts.with_state(FarmerState.STOPPED):
        return settled(moment, "the phone has stopped", moment.say("stopped_hint"))
    phrase = Phrase("join_ask_language", joining.language_offer(moment))
    say = Say(phrase=phrase, language=moment.language)
    return asked(moment, "a stranger", State.JOIN_LANGUAGE, say)


def silence(moment: Moment) -> Turn:
    """Say nothing to a yes or no that answers no question: "ok" after an answer is politeness.

    A yes from a phone on which somebody has not agreed yet may well be meant for that: then it is asked again.
    """
    pending = moment.facts.with_state(FarmerState.PENDING)
    if pending and isinstance(moment.input, Yes):
        return consent.ask_again(moment, pending[0])
    return unchanged(moment, "yes or no without a question")
