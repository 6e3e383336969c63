"""A farmer corrects what we keep of them: their name, the number of plants, the planting day.

The day moves every job, so what follows is said first and takes a yes; the others are only noted.
"""

from dataclasses import replace
from datetime import date

from flows.edits import Rename, Replant, SetPlants
from flows.effects import Say
from flows.inputs import Planted, Precision
from flows.moves.joining import FURTHEST_AHEAD, MOST_PLANTS, OLDEST
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.states import State
from flows.wording import FullDate, Name


def details(moment: Moment) -> Turn:
    """Say what we keep, and ask what is wrong, unless it is said along with the word."""
    return _plants_and_day(moment) or asked(moment, "which detail is asked", State.DETAILS, _ask(moment))


def _ask(moment: Moment) -> Say:
    farmer = moment.someone()
    planted = FullDate(farmer.planted_on)
    return moment.say("details_ask", name=Name(farmer.name), n=farmer.plants, date=planted)


def take_told(moment: Moment) -> Turn:
    """Take plants and planting day where both are told instead of which is wrong."""
    return _plants_and_day(moment) or unclear(moment)


def _plants_and_day(moment: Moment) -> Turn | None:
    """Note the plants and ask whether the day shall be; None where one of the two is missing or not clear."""
    slots, farmer = moment.reading.slots, moment.someone()
    count, planted = slots.plants, slots.planted
    if count is None or planted is None or not 1 <= count <= MOST_PLANTS:
        return None
    day_asked = take_day(moment)
    day_is_clear = day_asked.conversation.state is State.NEW_DATE_SURE
    if not day_is_clear:
        return None
    effect = SetPlants(farmer_id=farmer.id, plot_id=farmer.plot_id, plants=count)
    return replace(day_asked, effects=(effect, moment.say("plants_set", n=count), *day_asked.effects))


def unclear(moment: Moment) -> Turn:
    """Ask once more what is wrong."""
    return missed(moment, "none of the three", _ask(moment))


def name(moment: Moment) -> Turn:
    """Ask for the right name."""
    return asked(moment, "the name is asked", State.NEW_NAME, moment.say("join_ask_name"))


def plants(moment: Moment) -> Turn:
    """Ask for the right number of plants."""
    return asked(moment, "the plants are asked", State.NEW_PLANTS, moment.say("join_ask_plants"))


def day(moment: Moment) -> Turn:
    """Ask for the right planting day."""
    return asked(moment, "the planting day is asked", State.NEW_DATE, moment.say("join_ask_date"))


def take_name(moment: Moment) -> Turn:
    """Take the right name."""
    said = moment.reading.slots.name
    if said is None:
        return missed(moment, "no name", moment.say("join_ask_name"))
    effect = Rename(farmer_id=moment.someone().id, name=said)
    return settled(ended(moment), "the name is put right", effect, moment.say("name_set", name=Name(said)))


def take_plants(moment: Moment) -> Turn:
    """Take the right number of plants."""
    count = moment.reading.slots.plants
    if count is None or not 1 <= count <= MOST_PLANTS:
        return missed(moment, "no number of plants", moment.say("join_plants_again"))
    farmer = moment.someone()
    effect = SetPlants(farmer_id=farmer.id, plot_id=farmer.plot_id, plants=count)
    return settled(ended(moment), "the plants are put right", effect, moment.say("plants_set", n=count))


def take_day(moment: Moment) -> Turn:
    """Take the right planting day, say what follows from it, and ask whether it shall be."""
    planted, today = moment.reading.slots.planted, moment.facts.on
    if planted is None:
        return missed(moment, "no day", moment.say("join_date_again"))
    if planted.other is not None:
        return missed(moment, "the day may be of two years", moment.say("date_with_year"))
    outside = (
        ("join_date_too_old", planted.on < today - OLDEST),
        ("join_date_too_far", planted.on > today + FURTHEST_AHEAD),
    )
    for text_id, holds in outside:
        if holds:
            return missed(moment, "no day of ours", moment.say(text_id, date=FullDate(planted.on)))
    return asked(
        moment,
        "another planting day is asked about",
        State.NEW_DATE_SURE,
        _say_impact(moment, planted.on),
        on=planted.on.isoformat(),
        precision=planted.precision.value,
    )


def _say_impact(moment: Moment, on: date) -> Say:
    """Say what another planting day does: the age of the plants, and what becomes of their jobs."""
    if on > moment.facts.on:
        return moment.say("date_sure_ahead", date=FullDate(on))
    return moment.say("date_sure", date=FullDate(on), age=(moment.facts.on - on).days)


def replant(moment: Moment) -> Turn:
    """The farmer is sure of the day: the plot is planned anew from it."""
    planted = _asked_about(moment)
    effect = Replant(plot_id=moment.someone().plot_id, farmer_id=moment.someone().id, planted=planted)
    say = moment.say("date_set", date=FullDate(planted.on))
    return settled(ended(moment), "the planting day is put right", effect, say)


def keep(moment: Moment) -> Turn:
    """The planting day stays as it was."""
    say = moment.say("date_kept", date=FullDate(moment.someone().planted_on))
    return settled(ended(moment), "the planting day stays", say)


def unsure(moment: Moment) -> Turn:
    """Ask once more: only a plain yes moves the jobs."""
    return missed(moment, "neither yes nor no", _say_impact(moment, _asked_about(moment).on))


def _asked_about(moment: Moment) -> Planted:
    talk = moment.conversation
    on = date.fromisoformat(talk.text("on") or moment.facts.on.isoformat())
    return Planted(on=on, precision=Precision(talk.text("precision") or Precision.EXACT))
