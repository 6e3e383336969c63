"""Joining: what is missing is asked for, one thing at a time, until the farmer can be asked for consent."""

from dataclasses import asdict, dataclass, replace
from datetime import date, timedelta

from flows.effects import AddFarmer, AskedConsent, Decline, Effect, GiveConsent, Say
from flows.facts import Farmer, FarmerState
from flows.inputs import Join, Number, Planted, Precision
from flows.moves.turn import Moment, Turn, asked, missed, settled
from flows.states import JOINING, Conversation, State
from flows.wording import FullDate, Name, Numbered, Phrase, Value

MOST_PLANTS = 100_000
LONGEST_NAME = 40
OLDEST = timedelta(days=1095)
FURTHEST_AHEAD = timedelta(days=183)


@dataclass(frozen=True, kw_only=True, slots=True)
class Draft:
    """What is known so far of a farmer who is joining."""

    language: str
    name: str | None = None
    plants: int | None = None
    planted: str | None = None
    precision: str = Precision.EXACT
    district: str | None = None


def _draft(moment: Moment) -> Draft:
    talk = moment.conversation
    if talk.state not in JOINING:
        return Draft(language=moment.reading.language or moment.language)
    return Draft(
        language=moment.reading.language or moment.language,
        name=talk.text("name"),
        plants=talk.whole("plants"),
        planted=talk.text("planted"),
        precision=talk.text("precision") or Precision.EXACT,
        district=talk.text("district"),
    )


def join(moment: Moment) -> Turn:
    """Begin to join, or come back, with whatever the text already said."""
    request = moment.expect(Join)
    known = _known(moment, request.name)
    if known and known.state is FarmerState.ACTIVE:
        return settled(moment, "this phone's farmer has joined already", moment.say("already_joined"))
    if known:
        return _ask_consent_again(moment, known)
    draft = _draft(moment)
    if request.name is not None:
        draft = replace(draft, name=request.name)
    if request.plants is not None:
        draft = replace(draft, plants=request.plants)
    if request.district is not None:
        draft = replace(draft, district=request.district)
    return _with_date(moment, draft, request.planted) if request.planted else _next(moment, draft)


def _known(moment: Moment, name: str | None) -> Farmer | None:
    """Return the farmer meant by a JOIN with `name`, or without one the first this phone speaks for."""
    farmers = moment.facts.farmers
    if name is None:
        order = {FarmerState.STOPPED: 0, FarmerState.PENDING: 1, FarmerState.ACTIVE: 2}
        return min(farmers, key=lambda farmer: order.get(farmer.state, 3), default=None)
    return next((farmer for farmer in farmers if farmer.name.casefold() == name.casefold()), None)


def _ask_consent_again(moment: Moment, farmer: Farmer) -> Turn:
    here = replace(moment, farmer=farmer)
    phrase = Phrase("welcome_back_consent", {"name": Name(farmer.name), "svc": moment.facts.service})
    return asked(
        here,
        "a farmer known to this phone comes back",
        State.CONSENT,
        AskedConsent(farmer_id=farmer.id, phrase=phrase, language=here.language),
        Say(phrase=phrase, language=here.language),
    )


def take_language(moment: Moment) -> Turn:
    """Take the answer to "1 English 2 Kiswahili"."""
    language = {1: "en", 2: "sw"}.get(moment.choice() or 0) or moment.reading.language
    if language is None:
        return missed(moment, "no language chosen", moment.say("join_ask_language", svc=moment.facts.service))
    return _next(moment, Draft(language=language))


def take_name(moment: Moment) -> Turn:
    """Take a name: at least one letter, and short enough to be one."""
    name = " ".join((moment.reading.slots.name or moment.text).split())
    if not any(char.isalpha() for char in name) or len(name) > LONGEST_NAME:
        return missed(moment, "no name found", moment.say("join_ask_name"))
    return _next(moment, replace(_draft(moment), name=name))


def take_plants(moment: Moment) -> Turn:
    """Take the number of plants, a whole number of at least one."""
    number = moment.reading.slots.number
    if isinstance(moment.input, Number):
        number = moment.input.value
    if number is None or number != int(number) or not 1 <= number <= MOST_PLANTS:
        return missed(moment, "no number of plants found", moment.say("join_plants_again"))
    return _next(moment, replace(_draft(moment), plants=int(number)))


def take_date(moment: Moment) -> Turn:
    """Take the planting date."""
    planted = moment.reading.slots.planted
    if planted is None:
        return missed(moment, "no planting date found", moment.say("join_date_again"))
    return _with_date(moment, _draft(moment), planted)


def take_which_date(moment: Moment) -> Turn:
    """Take the choice between two days that a date without a year may mean."""
    talk = moment.conversation
    days = {1: talk.text("date_1"), 2: talk.text("date_2")}
    day = days.get(moment.choice() or 0)
    if day is not None:
        return _next(moment, replace(_draft(moment), planted=day))
    if moment.reading.slots.planted is not None:
        return take_date(moment)
    dates = [FullDate(date.fromisoformat(iso)) for iso in days.values() if iso]
    return missed(
        moment, "neither date chosen", moment.say("join_which_date", date_1=dates[0], date_2=dates[1])
    )


def take_district(moment: Moment) -> Turn:
    """Take a district by its number or its name."""
    names, choice = moment.facts.districts, moment.choice() or 0
    district = names[choice - 1] if 1 <= choice <= len(names) else moment.reading.slots.district
    if district is None:
        return missed(
            moment, "no district found", moment.say("join_district_again", districts=_districts(moment))
        )
    return _next(moment, replace(_draft(moment), district=district))


def _districts(moment: Moment) -> Numbered:
    return Numbered(tuple(enumerate(moment.facts.districts, start=1)))


def _with_date(moment: Moment, draft: Draft, planted: Planted) -> Turn:
    """Keep the planting date if it can be one; never clamp it to one that can."""
    today = moment.facts.on
    if planted.other is not None:
        first, second = sorted((planted.on, planted.other))
        data = replace(draft, precision=planted.precision)
        say = _say(draft, "join_which_date", date_1=FullDate(first), date_2=FullDate(second))
        return asked(
            moment,
            "the date may mean two days",
            State.JOIN_WHICH_DATE,
            say,
            date_1=first.isoformat(),
            date_2=second.isoformat(),
            **asdict(data),
        )
    if planted.on < today - OLDEST:
        return _ask_date(moment, draft, "planted too long ago", "join_date_too_old", planted.on)
    if planted.on > today + FURTHEST_AHEAD:
        return _ask_date(moment, draft, "planted too far ahead", "join_date_too_far", planted.on)
    return _next(moment, replace(draft, planted=planted.on.isoformat(), precision=planted.precision))


def _ask_date(moment: Moment, draft: Draft, why: str, text_id: str, day: date) -> Turn:
    return asked(moment, why, State.JOIN_DATE, _say(draft, text_id, date=FullDate(day)), **asdict(draft))


def _say(draft: Draft, text_id: str, **values: Value) -> Say:
    return Say(phrase=Phrase(text_id, values), language=draft.language)


def _next(moment: Moment, draft: Draft) -> Turn:
    """Ask for the first thing that is missing, or for consent when nothing is."""
    questions: tuple[tuple[object, State, str, dict[str, Numbered]], ...] = (
        (draft.name, State.JOIN_NAME, "join_ask_name", {}),
        (draft.plants, State.JOIN_PLANTS, "join_ask_plants", {}),
        (draft.planted, State.JOIN_DATE, "join_ask_date", {}),
        (draft.district, State.JOIN_DISTRICT, "join_ask_district", {"districts": _districts(moment)}),
    )
    for known, state, text_id, values in questions:
        if known is None:
            return asked(
                moment, "something is missing", state, _say(draft, text_id, **values), **asdict(draft)
            )
    return _ask_consent(moment, draft)


def _ask_consent(moment: Moment, draft: Draft) -> Turn:
    if draft.name is None or draft.plants is None or draft.planted is None or draft.district is None:
        raise LookupError("consent is asked for only when nothing is missing")
    phrase = Phrase("welcome_consent", {"name": Name(draft.name), "svc": moment.facts.service})
    farmer_id = moment.facts.new_id
    planted = Planted(on=date.fromisoformat(draft.planted), precision=Precision(draft.precision))
    effects: tuple[Effect, ...] = (
        AddFarmer(
            id=farmer_id,
            name=draft.name,
            language=draft.language,
            plants=draft.plants,
            planted=planted,
            district=draft.district,
        ),
        AskedConsent(farmer_id=farmer_id, phrase=phrase, language=draft.language),
        Say(phrase=phrase, language=draft.language),
    )
    conversation = Conversation(state=State.CONSENT, farmer_id=farmer_id, data={"language": draft.language})
    return Turn(conversation=conversation, effects=effects, why="all is known; consent is asked")


def agree(moment: Moment) -> Turn:
    """The farmer says yes to being texted."""
    farmer = moment.someone()
    text_id = "joined_ahead" if farmer.planted_on > moment.facts.on else "joined"
    say = moment.say(text_id, name=Name(farmer.name), n=farmer.plants, date=FullDate(farmer.planted_on))
    return Turn(
        conversation=Conversation(), effects=(GiveConsent(farmer_id=farmer.id), say), why="consent is given"
    )


def decline(moment: Moment) -> Turn:
    """The farmer says no to being texted."""
    farmer = moment.someone()
    return Turn(
        conversation=Conversation(),
        effects=(Decline(farmer_id=farmer.id), moment.say("declined")),
        why="consent is refused",
    )


def consent_by_number(moment: Moment) -> Turn:
    """Take 1 for yes and 2 for no."""
    move = {1: agree, 2: decline}.get(moment.choice() or 0)
    return move(moment) if move else consent_unclear(moment)


def consent_unclear(moment: Moment) -> Turn:
    """Ask for a plain yes or no."""
    return missed(moment, "neither yes nor no", moment.say("consent_unclear"))
