"""How a farmer wants to be texted: in which language, on which days, or not for a while; and who it is that texts."""

from datetime import timedelta
from typing import Final

from flows.effects import Rest, Resume, Say, SetDays, SetLanguage
from flows.facts import Farmer
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.states import State
from flows.wishes import Language, Pause
from flows.wording import Numbered, Phrase, of_officer

PAUSE: Final = timedelta(days=14)
LONGEST_PAUSE: Final = timedelta(days=183)
FEWEST_PICK_DAYS: Final = 2
MOST_PICK_DAYS: Final = 3
_WEEK: Final = tuple(range(7))


def language(moment: Moment) -> Turn:
    """Change the language, or ask which one."""
    chosen = moment.expect(Language).chosen
    if chosen:
        return _set_language(moment, chosen)
    return asked(moment, "the language is asked", State.LANGUAGE, _ask_language(moment))


def _ask_language(moment: Moment) -> Say:
    return moment.say("language_ask", languages=_named(moment))


def _named(moment: Moment) -> Numbered:
    names = (language.name for language in moment.facts.languages)
    return Numbered(tuple(enumerate(names, start=1)))


def language_at(moment: Moment, place: int) -> Turn:
    """Take the language at a place of the list."""
    languages = moment.facts.languages
    chosen = languages[place - 1].code if 1 <= place <= len(languages) else None
    return _set_language(ended(moment), chosen) if chosen else take_language(moment)


def take_language(moment: Moment) -> Turn:
    """Take the name of a language."""
    chosen = moment.reading.slots.language
    if chosen is None:
        return missed(moment, "none of the languages", _ask_language(moment))
    return _set_language(ended(moment), chosen)


def _set_language(moment: Moment, chosen: str) -> Turn:
    effect = SetLanguage(farmer_id=moment.someone().id, language=chosen)
    say = Say(phrase=Phrase("language_set"), language=chosen)
    return settled(moment, "the language is changed", effect, say)


def days(moment: Moment) -> Turn:
    """Say on which days the farmer is texted and picks, and ask what shall change."""
    stands = (moment.say("pause_stands"),) if moment.someone().paused else ()
    return asked(moment, "which days is asked", State.DAYS, *stands, _say_days(moment))


def days_unclear(moment: Moment) -> Turn:
    """Ask once more which days shall change."""
    return missed(moment, "neither 1 nor 2", _say_days(moment))


def text_day(moment: Moment) -> Turn:
    """Ask on which day the farmer wants to be texted."""
    say = moment.say("text_day_ask", week=_numbered(_WEEK))
    return asked(moment, "the text day is asked", State.TEXT_DAY, say)


def pick_days(moment: Moment) -> Turn:
    """Ask on which days the farmer picks."""
    farmer = moment.someone()
    if farmer.coming is not None:
        days = _numbered(sorted(farmer.pick_days))
        return settled(ended(moment), "a collection sets the days", moment.say("days_collected", days=days))
    say = moment.say("pick_days_ask", week=_numbered(_WEEK))
    return asked(moment, "the picking days are asked", State.PICK_DAYS, say)


def take_text_day(moment: Moment) -> Turn:
    """Take one weekday, by its number or its name."""
    chosen = moment.reading.slots.weekdays
    if len(chosen) != 1:
        return missed(moment, "not one weekday", moment.say("text_day_ask", week=_numbered(_WEEK)))
    farmer = moment.someone()
    return _set_days(moment, farmer, chosen[0], farmer.pick_days)


def take_pick_days(moment: Moment) -> Turn:
    """Take two or three weekdays, by their numbers or their names."""
    chosen = frozenset(moment.reading.slots.weekdays)
    if not FEWEST_PICK_DAYS <= len(chosen) <= MOST_PICK_DAYS:
        return missed(moment, "not two or three", moment.say("pick_days_ask", week=_numbered(_WEEK)))
    farmer = moment.someone()
    return _set_days(moment, farmer, farmer.text_day, chosen)


def _set_days(moment: Moment, farmer: Farmer, text_day: int, pick_days: frozenset[int]) -> Turn:
    effect = SetDays(farmer_id=farmer.id, text_day=text_day, pick_days=pick_days)
    say = moment.say("days_set", day=_numbered((text_day,)), days=_numbered(sorted(pick_days)))
    return settled(ended(moment), "the days are changed", effect, say)


def _say_days(moment: Moment) -> Say:
    farmer = moment.someone()
    pick_days = _numbered(sorted(farmer.pick_days))
    return moment.say("days_ask", day=_numbered((farmer.text_day,)), days=pick_days)


def _numbered(weekdays: tuple[int, ...] | list[int]) -> Numbered:
    """Return weekdays as they are offered: "1 Mon 4 Thu"."""
    return Numbered(tuple((day + 1, Phrase(f"weekday.{day}")) for day in weekdays))


def pause(moment: Moment) -> Turn:
    """Push nothing until the day that was said, at most half a year; without one for two weeks."""
    on, wanted = moment.facts.on, moment.expect(Pause).until
    until = min(wanted or on + PAUSE, on + LONGEST_PAUSE)
    effect = Rest(farmer_id=moment.someone().id, until=until)
    return settled(moment, "texts rest for a while", effect, moment.say("paused", date=until))


def resumed(farmer: Farmer) -> tuple[Resume, Say]:
    """Return what ends a pause before its day: a word that asks for our texts again."""
    say = Say(phrase=Phrase("resumed"), language=farmer.language)
    return Resume(farmer_id=farmer.id), say


def who(moment: Moment) -> Turn:
    """Say who texts, since when, what about, and what we never ask for."""
    farmer, service = moment.farmer, moment.facts.service
    if farmer is None or farmer.joined_on is None:
        say = moment.say("who_stranger", svc=service)
    elif farmer.added_by:
        say = moment.say(
            "who_by_officer", svc=service, officer=of_officer(farmer.added_by), date=farmer.joined_on
        )
    else:
        say = moment.say("who", svc=service, date=farmer.joined_on)
    return settled(moment, "who we are is told", say)
