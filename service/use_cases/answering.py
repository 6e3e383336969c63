"""Answering a stored text: read it, take a step of the conversation, carry out what it asks, in one commit."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from flows.effects import GiveConsent, OfAFarmer, SaveQuestion, Say, Urgency
from flows.engine import step
from flows.facts import Facts, FarmerState
from flows.input_names import NAMES
from flows.inputs import Input
from flows.moves.naming import first_name, named_in
from flows.moves.turn import Again, Turn
from flows.offering import names_of_jobs, offers_of, whose_jobs
from flows.reader import Reading, Situation, read
from flows.states import JOINING, Conversation
from flows.wording import Phrase
from service.core.model import Inbound
from service.core.ports import Work
from service.use_cases.by_phone import desk_of
from service.use_cases.carrying import Carrying
from service.use_cases.collecting.by_text import clerk_of
from service.use_cases.guards import Ruling, Spoken, judge, spoken_effects
from service.use_cases.keeping import with_keeping
from service.use_cases.knowing import gather, with_saved
from service.use_cases.money import with_money
from service.use_cases.receiving import LONGEST
from service.use_cases.tools import Tools
from service.use_cases.unput import unput
from service.use_cases.vessels import with_vessels
from service.use_cases.waiting import stays_open
from service.use_cases.watering import with_water


@dataclass(frozen=True, kw_only=True, slots=True)
class Answered:
    """What answering has led to: the farmers whose texts of today are to be written anew."""

    replanned: frozenset[int]


def answer(work: Work, tools: Tools, inbound: Inbound, now: datetime) -> Answered:
    """Answer one stored text and commit all that follows from it, or nothing."""
    people = work.people.on_phone(inbound.phone_id)
    zone = people[0].zone if people else tools.programme.zone
    on = inbound.received_at.astimezone(ZoneInfo(zone)).date()
    facts = gather(work, tools, inbound.phone_id, people, on=on, now=now)
    talk = work.talks.open_on(inbound.phone_id, now)
    reading = read_text(tools, facts, talk, inbound.text, on)
    facts = replace(facts, desk=desk_of(work, tools, inbound.phone_id, reading.input, on=on, now=now))
    facts = replace(facts, clerk=clerk_of(work, inbound.phone_id, reading.input, talk))
    facts = _with_what_is_meant(work, tools, inbound, facts, reading.input, talk=talk, now=now)
    turn = step(talk, reading, inbound.text, facts)
    why = [*reading.why, f"{talk.state}: {turn.why}"]
    if turn.again is not None:
        turn, more = _again(work, tools, inbound, facts, turn.again, talk=turn.conversation, now=now)
        why += more
    spoken = Spoken(inbound=inbound, reading=reading, before=talk, turn=turn, facts=facts)
    ruling = judge(work, tools, spoken, now)
    why += _remarks(inbound, ruling)
    if not ruling.answers:
        turn = unput(work, spoken)
    carry = Carrying(
        work=work, tools=tools, inbound=inbound, on=on, zone=zone, now=now, says_at=ruling.not_before
    )
    for effect in spoken_effects(ruling, turn, _notice(tools, spoken)):
        carry.carry_out(effect)
    if ruling.loses(spoken):
        carry.carry_out(_not_understood(spoken))
    lasts = stays_open(turn.conversation.state)
    if turn.asks or turn.conversation != talk:
        work.talks.put(
            inbound.phone_id, turn.conversation, asked_by=f"inbound:{inbound.id}", expires_at=now + lasts
        )
    work.inbox.mark_read(inbound.id, _kept(reading, turn, why), _about(facts, talk, turn))
    work.commit()
    return Answered(replanned=frozenset(carry.replanned))


def _remarks(inbound: Inbound, ruling: Ruling) -> list[str]:
    """Return what else the record says of a text: what it lacks, and why it was not answered."""
    remarks = {
        "parts of it never came": inbound.incomplete,
        f"longer than {LONGEST} letters: the rest was left out": len(inbound.text) >= LONGEST,
        f"its answer: {ruling.replied}": not ruling.answers,
    }
    return [remark for remark, holds in remarks.items() if holds]


def _notice(tools: Tools, spoken: Spoken) -> Say:
    language = _language(spoken.facts, spoken.before) or tools.programme.language
    text_id = "not_understood_officer" if spoken.is_unparsed else "too_many_replies"
    return Say(phrase=Phrase(text_id, {}), language=language)


def _not_understood(spoken: Spoken) -> SaveQuestion:
    """Return what puts a text before an officer that was neither understood nor answered."""
    active = spoken.facts.with_state(FarmerState.ACTIVE)
    return SaveQuestion(
        id=spoken.facts.new_id,
        code=spoken.facts.code,
        farmer_id=active[0].id if len(active) == 1 else None,
        text=spoken.inbound.text,
        urgency=Urgency.NOT_UNDERSTOOD,
    )


def _language(facts: Facts, talk: Conversation) -> str | None:
    return talk.text("language") or (facts.farmers[0].language if facts.farmers else None)


def read_text(tools: Tools, facts: Facts, talk: Conversation, text: str, on: date) -> Reading:
    """Return how a text is read from a phone of which `facts` are known and where `talk` is open."""
    named = named_in(text, facts.with_state(FarmerState.ACTIVE))
    jobs = names_of_jobs(named or whose_jobs(talk, facts), tools.wording, tools.packs.languages)
    situation = Situation(
        on=on,
        districts=facts.districts,
        languages=tools.packs,
        language=_language(facts, talk),
        offers=offers_of(talk, tools.offers, jobs),
        jobs=jobs,
        people=frozenset(map(first_name, facts.with_state(FarmerState.ACTIVE))),
    )
    return read(text, situation)


def _with_what_is_meant(
    work: Work,
    tools: Tools,
    inbound: Inbound,
    facts: Facts,
    said: Input,
    *,
    talk: Conversation,
    now: datetime,
) -> Facts:
    """Return the facts with what only some texts rest on: most need none of it."""
    facts = with_saved(work, tools, inbound, facts, said, talk=talk, now=now)
    facts = with_money(work, tools, with_water(work, facts, said), said)
    return with_keeping(work, with_vessels(work, facts, said), said)


def _again(
    work: Work,
    tools: Tools,
    inbound: Inbound,
    facts: Facts,
    earlier: Again,
    *,
    talk: Conversation,
    now: datetime,
) -> tuple[Turn, list[str]]:
    """Read and answer an earlier text, now that it is known for whom it was."""
    then = replace(facts, on=earlier.on)
    reading = read_text(tools, then, talk, earlier.text, earlier.on)
    then = _with_what_is_meant(work, tools, inbound, then, reading.input, talk=talk, now=now)
    answered = step(talk, reading, earlier.text, then, chosen=earlier.farmer_id)
    return answered, [f"now read again: {earlier.text}", *reading.why, answered.why]


def _about(facts: Facts, talk: Conversation, turn: Turn) -> int | None:
    """Return whose text it was, None where nobody knows: a text under another's name misleads whoever reads it."""
    # The question that stays open may be about somebody else than the text was.
    known = _done_for(turn) or turn.conversation.farmer_id
    if known:
        return known if _may_be(known, facts, turn) else None
    if JOINING & {talk.state, turn.conversation.state}:
        # Whoever joins is none of those the phone speaks for.
        return None
    active = facts.with_state(FarmerState.ACTIVE)
    return active[0].id if len(active) == 1 else None


def _may_be(farmer_id: int, facts: Facts, turn: Turn) -> bool:
    """Return whether a text may be that farmer's; on a phone that is only asked whether it is theirs only a yes is."""
    asked = {farmer.id for farmer in facts.farmers if farmer.asked}
    return farmer_id not in asked or any(isinstance(effect, GiveConsent) for effect in turn.effects)


def _done_for(turn: Turn) -> int | None:
    """Return the one farmer for whom something was done, None where it was done for none or for several."""
    named = {effect.farmer_id for effect in turn.effects if isinstance(effect, OfAFarmer)} - {None}
    return named.pop() if len(named) == 1 else None


def _kept(reading: Reading, turn: Turn, why: list[str]) -> Mapping[str, Any]:
    """Return what is kept with the text: an officer can see why it was read so."""
    understood = {name: _plain(value) for name, value in asdict(reading.input).items() if name != "text"}
    return {
        "intent": NAMES[type(reading.input)],
        "understood": understood,
        "language": reading.language,
        "effects": [type(effect).__name__ for effect in turn.effects],
        "why": why,
    }


def _plain(value: object) -> object:
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, dict):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    return str(value)
