"""Joining: what is missing is asked for, one thing at a time, until the farmer can be asked for consent."""

from dataclasses import asdict, replace
from datetime import date, timedelta
from typing import Final

from flows.effects import AddFarmer, AskedConsent, Effect, Forget, Say
from flows.facts import Farmer, FarmerState
from flows.inputs import Join, Planted, Precision
from flows.moves import consent
from flows.moves.draft import Draft, draft_of
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.states import JOINING, State
from flows.wording import Each, FullDate, Name, Numbered, Phrase, Value, of_district

MOST_PLANTS: Final = 100_000
LONGEST_NAME: Final = 40
MOST_NAME_WORDS: Final = 4
OLDEST: Final = timedelta(days=1095)
FURTHEST_AHEAD: Final = timedelta(days=183)
# What each question follows upon; of a date that may be two days it is the date itself that is asked for again.
_AFTER: Final = {
    State.JOIN_PLANTS: ("name",),
    State.JOIN_DATE: ("name", "plants"),
    State.JOIN_DISTRICT: ("name", "plants", "planted"),
}


def join(moment: Moment) -> Turn:
    """Begin to join, or come back, with whatever the text already said."""
    request = moment.expect(Join)
    known = _known(moment, request.name)
    # The one who joins is none of those the phone speaks for already.
    newcomer = replace(moment, farmer=None)
    if known is None:
        return _begin(newcomer, draft_of(moment), request)
    says_more = any(slot is not None for slot in (request.plants, request.planted, request.district))
    if known.state is FarmerState.PENDING and says_more:
        # Nobody has said yes to what was noted first, so what is said now takes its place.
        noted = Draft(
            language=known.language,
            name=known.name,
            plants=known.plants,
            planted=known.planted_on.isoformat(),
        )
        return _begin(newcomer, noted, request)
    # What a joined farmer says anew may be another plot or a correction: only a person can tell.
    to_officer = (moment.note(moment.text),) if says_more else ()
    if known.state is FarmerState.ACTIVE:
        say = moment.say("already_joined")
        return settled(moment, "this phone's farmer has joined already", *to_officer, say)
    return consent.ask_again(moment, known, *to_officer)


def _begin(moment: Moment, draft: Draft, request: Join) -> Turn:
    if request.name is not None:
        draft = replace(draft, name=request.name)
    if request.plants is not None and 1 <= request.plants <= MOST_PLANTS:
        draft = replace(draft, plants=request.plants)
    if request.district is not None:
        draft = replace(draft, district=request.district)
    return _with_date(moment, draft, request.planted) if request.planted else _next(moment, draft)


def _known(moment: Moment, name: str | None) -> Farmer | None:
    """Return the farmer meant by a JOIN with `name`, or without one the first this phone speaks for."""
    farmers = moment.facts.farmers
    if name is not None:
        return next((farmer for farmer in farmers if farmer.name.casefold() == name.casefold()), None)
    if moment.conversation.state in JOINING:
        return None
    order = {FarmerState.STOPPED: 0, FarmerState.PENDING: 1}
    return min(farmers, key=lambda farmer: order.get(farmer.state, 2), default=None)


def language_offer(moment: Moment) -> dict[str, Value]:
    """Return what the first question of all names: the programme, and each language in its own words."""
    languages = enumerate(moment.facts.languages, start=1)
    invitations = {
        one.code: Phrase("join_invitation", {"place": place, "language": one.name})
        for place, one in languages
    }
    return {"svc": moment.facts.service, "invitations": Each(invitations)}


def language_at(moment: Moment, place: int) -> Turn:
    """Take the language at a place of the list."""
    languages = moment.facts.languages
    return _in(moment, languages[place - 1].code) if 1 <= place <= len(languages) else ask_again(moment)


def take_language(moment: Moment) -> Turn:
    """Take a language by its name."""
    language = moment.reading.slots.language
    return _in(moment, language) if language else ask_again(moment)


def _in(moment: Moment, language: str) -> Turn:
    return _next(moment, Draft(language=language))


def take_name(moment: Moment) -> Turn:
    """Take a name; a text that does not look like one is taken at its word when it is sent a second time."""
    name = moment.reading.slots.name
    if name is None and moment.conversation.misses and _can_be_a_name(moment.text):
        name = moment.text
    return _next(moment, _with(moment, name=name)) if name else ask_again(moment)


def _can_be_a_name(text: str) -> bool:
    short = len(text) <= LONGEST_NAME and len(text.split()) <= MOST_NAME_WORDS
    return short and all(char.isalpha() or char in " '-." for char in text)


def take_plants(moment: Moment) -> Turn:
    """Take the number of plants, a whole number of at least one."""
    plants = moment.reading.slots.plants
    if plants is None or not 1 <= plants <= MOST_PLANTS:
        return ask_again(moment)
    return _next(moment, _with(moment, plants=plants))


def take_date(moment: Moment) -> Turn:
    """Take the planting date."""
    planted = moment.reading.slots.planted
    return _with_date(moment, _with(moment), planted) if planted else ask_again(moment)


def first_date(moment: Moment) -> Turn:
    """Take the earlier of the two days that a date without a year may mean."""
    return _date_at(moment, 1)


def second_date(moment: Moment) -> Turn:
    """Take the later of the two days."""
    return _date_at(moment, 2)


def _date_at(moment: Moment, place: int) -> Turn:
    return _next(moment, _with(moment, planted=_days(moment)[place].isoformat()))


def district_at(moment: Moment, place: int) -> Turn:
    """Take the district at a place of the list."""
    names = moment.facts.districts
    chosen = names[place - 1] if 1 <= place <= len(names) else None
    return _next(moment, _with(moment, district=chosen)) if chosen else ask_again(moment)


def take_district(moment: Moment) -> Turn:
    """Take a district by its name."""
    district = moment.reading.slots.district
    return _next(moment, _with(moment, district=district)) if district else ask_again(moment)


def back(moment: Moment) -> Turn:
    """Go back to the question before the open one; what was told beyond it stays, in whatever order it came."""
    draft, before = draft_of(moment), _AFTER.get(moment.conversation.state, ())
    known = [slot for slot in before if getattr(draft, slot) is not None]
    return _next(moment, Draft(**{**asdict(draft), **dict.fromkeys(known[-1:])}))


def ask_again(moment: Moment) -> Turn:
    """Ask once more for what the open question asks for."""
    dates = {f"date_{number}": FullDate(day) for number, day in _days(moment).items()}
    questions: dict[State, tuple[str, dict[str, Value]]] = {
        State.JOIN_LANGUAGE: ("join_ask_language", language_offer(moment)),
        State.JOIN_NAME: ("join_ask_name", {}),
        State.JOIN_PLANTS: ("join_plants_again", {}),
        State.JOIN_DATE: ("join_date_again", {}),
        State.JOIN_WHICH_DATE: ("join_which_date", {**dates}),
        State.JOIN_DISTRICT: ("join_district_again", {"districts": _districts(moment)}),
    }
    text_id, values = questions[moment.conversation.state]
    again = Say(phrase=Phrase(text_id, values), language=moment.language)
    return missed(moment, "no answer to what is asked", again)


def _with(moment: Moment, **told: str | int | None) -> Draft:
    """Return the draft with what was told, and with a district that was named along with it."""
    draft = Draft(**{**asdict(draft_of(moment)), **told})
    return replace(draft, district=draft.district or moment.reading.slots.district)


def _days(moment: Moment) -> dict[int, date]:
    """Return the days offered in the question which of two was meant."""
    talk = moment.conversation
    offered = {number: talk.text(f"date_{number}") for number in (1, 2)}
    return {number: date.fromisoformat(iso) for number, iso in offered.items() if iso}


def _districts(moment: Moment) -> Numbered:
    return Numbered(tuple(enumerate(map(of_district, moment.facts.districts), start=1)))


def _with_date(moment: Moment, draft: Draft, planted: Planted) -> Turn:
    """Keep the planting date if it can be one; never clamp it to one that can."""
    today = moment.facts.on
    if planted.other is not None:
        first, second = sorted((planted.on, planted.other))
        kept = replace(draft, precision=planted.precision, planted=None)
        say = _say(draft, "join_which_date", date_1=FullDate(first), date_2=FullDate(second))
        return asked(
            ended(moment),
            "the date may mean two days",
            State.JOIN_WHICH_DATE,
            say,
            date_1=first.isoformat(),
            date_2=second.isoformat(),
            **asdict(kept),
        )
    if planted.on < today - OLDEST:
        return _ask_date(moment, draft, "planted too long ago", "join_date_too_old", planted.on)
    if planted.on > today + FURTHEST_AHEAD:
        return _ask_date(moment, draft, "planted too far ahead", "join_date_too_far", planted.on)
    turn = _next(moment, replace(draft, planted=planted.on.isoformat(), precision=planted.precision))
    if planted.precision is not Precision.MONTH:
        return turn
    # A month is no day: the farmer is told which one is taken.
    middle = _say(draft, "join_month_middle", date=FullDate(planted.on))
    return replace(turn, effects=(middle, *turn.effects))


def _ask_date(moment: Moment, draft: Draft, why: str, text_id: str, day: date) -> Turn:
    say, kept = _say(draft, text_id, date=FullDate(day)), replace(draft, planted=None)
    return asked(moment, why, State.JOIN_DATE, say, **asdict(kept))


def _say(draft: Draft, text_id: str, **values: Value) -> Say:
    return Say(phrase=Phrase(text_id, values), language=draft.language)


def _next(moment: Moment, draft: Draft) -> Turn:
    """Ask for the first thing that is missing, or for consent when nothing is."""
    # The first text to somebody who sent only the word says who asks.
    first = isinstance(moment.input, Join)
    who: dict[str, Value] = {"svc": moment.facts.service} if first else {}
    questions: tuple[tuple[object, State, str, dict[str, Value]], ...] = (
        (draft.name, State.JOIN_NAME, "join_ask_name_first" if first else "join_ask_name", who),
        (draft.plants, State.JOIN_PLANTS, "join_ask_plants", {}),
        (draft.planted, State.JOIN_DATE, "join_ask_date", {}),
        (draft.district, State.JOIN_DISTRICT, "join_ask_district", {"districts": _districts(moment)}),
    )
    for known, state, text_id, values in questions:
        if known is None:
            say = _say(draft, text_id, **values)
            return asked(moment, "something is missing", state, say, **asdict(draft))
    return _ask_consent(moment, draft)


def _ask_consent(moment: Moment, draft: Draft) -> Turn:
    # `_next` has seen to it that nothing is missing.
    name, plants = draft.name or "", draft.plants or 0
    planted, district = draft.planted or "", draft.district or ""
    phrase = Phrase("welcome_consent", {"name": Name(name), "svc": moment.facts.service})
    farmer_id = moment.facts.new_id
    before = tuple(
        Forget(farmer_id=farmer.id)
        for farmer in moment.facts.with_state(FarmerState.PENDING)
        if farmer.name.casefold() == name.casefold()
    )
    effects: tuple[Effect, ...] = (
        *before,
        AddFarmer(
            id=farmer_id,
            name=name,
            language=draft.language,
            plants=plants,
            planted=Planted(on=date.fromisoformat(planted), precision=Precision(draft.precision)),
            district=district,
        ),
        AskedConsent(farmer_id=farmer_id, phrase=phrase, language=draft.language),
        Say(phrase=phrase, language=draft.language),
    )
    here = ended(moment)
    turn = asked(here, "all is known; consent is asked", State.CONSENT, *effects, language=draft.language)
    return replace(turn, conversation=replace(turn.conversation, farmer_id=farmer_id))
