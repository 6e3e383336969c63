"""Sprays: noted at once, whatever is still to be asked, and answered with the day before which nothing is picked.

While nobody knows the label's days the longest hold counts, so that an answer that never comes does no harm. Where
that day has a weight already it is asked which came first; until that is answered, the weight is one of sprayed fruit.
"""

from datetime import date, timedelta
from typing import Final

from flows.facts import Saved
from flows.inputs import Number
from flows.moves.days_kept import DaysKept
from flows.moves.noting import day_of
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.spraying import (
    FEWEST_DAYS,
    MOST_DAYS,
    PickedFirst,
    SaveSpray,
    Sprayed,
    TellLabelDays,
    VoidSpray,
    free_from,
    held_on,
)
from flows.states import State
from flows.wording import Grams

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
    return _kept(moment, "the spray is kept", save.id, on, report.days, save)


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
    return _kept(ended(moment), "the label's days are told", spray_id, on, days, *tell)


def _kept(
    moment: Moment, why: str, spray_id: int, on: date, days: int | None, *before: SaveSpray | TellLabelDays
) -> Turn:
    """Say until when nothing is picked: of several sprays the one that holds longest counts.

    What was noted as picked on that day may have been picked before the spray, and that is asked with it.
    """
    today, longest = moment.facts.on, moment.facts.longest_hold
    others = tuple(one for one in moment.someone().sprays if one.spray_id != spray_id)
    free = free_from(on, days, longest)
    latest = max([free, *(one.pick_from for one in others)])
    asks = moment.someone().weights.by_day.get(on, 0) > 0 and held_on(others, on) is None
    if latest <= today:
        say = moment.say("spray_over_order" if asks else "spray_over", date=on, date_free=free)
    elif days is not None:
        say = moment.say("spray_hold_order" if asks else "spray_hold", date=on, date_free=latest)
    elif asks:
        say = moment.say("spray_unknown_order", date=on, date_free=latest)
    else:
        say = moment.say("spray_unknown", date=on, n=longest, date_free=latest)
    if not asks:
        return settled(moment, why, *before, say)
    why = f"{why}; which came first is asked"
    free_on = latest.isoformat()
    return asked(
        moment, why, State.SPRAY_ORDER, *before, say, spray=spray_id, on=on.isoformat(), free=free_on
    )


def picked_first(moment: Moment) -> Turn:
    """What is noted for the day of the spray was picked before it: no label speaks of that fruit."""
    spray_id, on, free = _asked_about(moment), day_of(moment), _free_again(moment)
    first = PickedFirst(id=spray_id, farmer_id=moment.someone().id)
    say = moment.say("spray_after_picking", kg=_picked_on(moment, on), date=on, date_free=free)
    return settled(ended(moment), "picked before the spray", first, say)


def picked_after(moment: Moment) -> Turn:
    """The fruit had been sprayed: its weight stays flagged, and it is said what that means."""
    on = day_of(moment)
    say = moment.say(
        "spray_before_picking", kg=_picked_on(moment, on), date=on, date_free=_free_again(moment)
    )
    return settled(ended(moment), "picked after the spray", say)


def order_unclear(moment: Moment) -> Turn:
    """Ask once more which came first; until it is known the fruit counts as sprayed."""
    return missed(moment, "neither before nor after", moment.say("spray_order", date=day_of(moment)))


def _picked_on(moment: Moment, on: date) -> Grams:
    return Grams(moment.someone().weights.by_day.get(on, 0))


def _free_again(moment: Moment) -> date:
    return date.fromisoformat(moment.conversation.text("free") or moment.facts.on.isoformat())
