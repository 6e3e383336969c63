"""Sprays: noted at once, whatever is still to be asked, and answered with the day before which nothing is picked.

While nobody knows the label's days the longest hold counts, so that an answer that never comes does no harm.
"""

from datetime import date, timedelta
from typing import Final

from flows.effects import Say
from flows.facts import Saved
from flows.inputs import Number
from flows.moves.days_kept import DaysKept
from flows.moves.noting import day_of
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.spraying import (
    FEWEST_DAYS,
    MOST_DAYS,
    SaveSpray,
    Sprayed,
    TellLabelDays,
    VoidSpray,
    free_from,
    held_on,
)
from flows.states import State

# No label that is asked about here says more.
OLDEST: Final = timedelta(days=MOST_DAYS)
# The number that our question offers to those who do not know.
UNKNOWN: Final = 0
_DAYS: Final = DaysKept(oldest=OLDEST, vague="spray_no_day", ahead="spray_no_day", old="spray_old")


def sprayed(moment: Moment) -> Turn:
    """Keep a spray, and ask for the label's days where they were not said."""
    report, farmer, facts = moment.expect(Sprayed), moment.someone(), moment.facts
    on = report.on or facts.on
    refused = _DAYS.refused(on, facts.on, vague=report.vague)
    if refused:
        why, text_id = refused
        return settled(moment, why, moment.say(text_id))
    save = SaveSpray(id=facts.new_id, farmer_id=farmer.id, plot_id=farmer.plot_id, on=on, days=report.days)
    if report.days is None and not report.unsure:
        return _ask(moment, save.id, on, save)
    return settled(moment, "the spray is kept", save, _noted(moment, save.id, on, report.days))


def told_again(moment: Moment) -> Turn:
    """Take "sprayed 7" as the answer to the question after the days; of another day, or person, it is another spray."""
    report, talk = moment.expect(Sprayed), moment.conversation
    same = talk.farmer_id == moment.someone().id and report.on in {None, day_of(moment)}
    if not same or report.vague:
        return sprayed(moment)
    if report.days is None and not report.unsure:
        return _ask(moment, _asked_about(moment), day_of(moment))
    return _take(moment, report.days)


def take_days(moment: Moment) -> Turn:
    """Take the label's days, or that nobody knows them."""
    slots, said = moment.reading.slots, moment.choice()
    if said == UNKNOWN or slots.unsure:
        return _take(moment, None)
    days = said if isinstance(moment.input, Number) else slots.label_days
    if days is None or not FEWEST_DAYS <= days <= MOST_DAYS:
        return missed(moment, "no days of a label", moment.say("spray_ask_days", date=day_of(moment)))
    return _take(moment, days)


def undo_spray(moment: Moment, saved: Saved) -> Turn:
    """Take a spray back; the question about it ends with it."""
    farmer = moment.facts.farmer(saved.farmer_id)
    others = tuple(one for one in farmer.sprays if one.spray_id != saved.id) if farmer else ()
    still = held_on(others, moment.facts.on)
    say = (
        moment.say("undone_spray_held", date=saved.on, date_free=still.pick_from)
        if still
        else moment.say("undone_spray", date=saved.on)
    )
    here = ended(moment) if _asked_about(moment) == saved.id else moment
    return settled(
        here, "the last spray is taken back", VoidSpray(id=saved.id, farmer_id=saved.farmer_id), say
    )


def _asked_about(moment: Moment) -> int:
    return moment.conversation.whole("spray") or 0


def _ask(moment: Moment, spray_id: int, on: date, *save: SaveSpray) -> Turn:
    say = moment.say("spray_ask_days", date=on)
    why = "the label's days are asked for"
    return asked(moment, why, State.SPRAY_DAYS, *save, say, spray=spray_id, on=on.isoformat())


def _take(moment: Moment, days: int | None) -> Turn:
    """End the question after the days; where nobody knows them the spray stays as it is kept."""
    spray_id, on, farmer = _asked_about(moment), day_of(moment), moment.someone()
    tell = () if days is None else (TellLabelDays(id=spray_id, farmer_id=farmer.id, days=days),)
    say = _noted(moment, spray_id, on, days)
    return settled(ended(moment), "the label's days are told", *tell, say)


def _noted(moment: Moment, spray_id: int, on: date, days: int | None) -> Say:
    """Say until when nothing is picked: of several sprays the one that holds longest counts."""
    today, longest = moment.facts.on, moment.facts.longest_hold
    others = (one.pick_from for one in moment.someone().sprays if one.spray_id != spray_id)
    free = free_from(on, days, longest)
    latest = max([free, *others])
    if latest <= today:
        return moment.say("spray_over", date=on, date_free=free)
    if days is None:
        return moment.say("spray_unknown", date=on, n=longest, date_free=latest)
    return moment.say("spray_hold", date=on, date_free=latest)
