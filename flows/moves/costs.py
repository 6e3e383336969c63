"""Costs: what money was spent on; what for is asked where it was not said."""

from datetime import date
from typing import Final

from flows.effects import Say
from flows.facts import Saved
from flows.money import MOST_MINOR, Money
from flows.moves.days_kept import DaysKept
from flows.moves.noting import day_of
from flows.moves.sales import OLDEST
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.states import State
from flows.trading import Cost, CostKind, SaveCost, VoidCost
from flows.wording import Phrase

_DAYS: Final = DaysKept(oldest=OLDEST, vague="cost_no_day", ahead="cost_no_day", old="cost_no_day")
# As our question numbers them.
_KINDS: Final = tuple(CostKind)


def spent(moment: Moment) -> Turn:
    """Keep a cost, or ask what it was for."""
    report, today = moment.expect(Cost), moment.facts.on
    on = report.on or today
    refused = _DAYS.refused(on, today, vague=report.vague)
    if refused:
        why, text_id = refused
        return settled(moment, why, moment.say(text_id))
    if report.amount is None:
        return settled(moment, "a cost without its sum", moment.say("cost_how"))
    minor = moment.facts.currency.minor(report.amount)
    if not 0 < minor <= MOST_MINOR:
        return settled(moment, "more or less than anybody spends", moment.say("cost_unlikely"))
    if report.kind is None:
        why = "what was paid for is asked"
        return asked(moment, why, State.COST_KIND, _question(moment, minor), minor=minor, on=on.isoformat())
    return _keep(moment, report.kind, minor, on)


def told_anew(moment: Moment) -> Turn:
    """A cost that is told while one is in question takes its place."""
    return spent(ended(moment))


def kind_at(moment: Moment, number: int) -> Turn:
    """Take what was paid for by its number."""
    if not 1 <= number <= len(_KINDS):
        return unclear(moment)
    return _keep(ended(moment), _KINDS[number - 1], _money(moment), day_of(moment))


def left(moment: Moment) -> Turn:
    """The farmer takes the cost back before it is kept."""
    return settled(ended(moment), "no cost is kept", moment.say("cost_left"))


def unclear(moment: Moment) -> Turn:
    """Ask once more what was paid for."""
    return missed(moment, "nothing that is paid for", _question(moment, _money(moment)))


def _money(moment: Moment) -> int:
    return moment.conversation.whole("minor") or 0


def _question(moment: Moment, minor: int) -> Say:
    return moment.say("cost_kind", money=Money(minor, moment.facts.currency))


def _keep(moment: Moment, kind: CostKind, minor: int, on: date) -> Turn:
    farmer = moment.someone()
    save = SaveCost(
        id=moment.facts.new_id,
        farmer_id=farmer.id,
        plot_id=farmer.plot_id,
        kind=kind,
        minor=minor,
        on=on,
    )
    money = Money(minor, moment.facts.currency)
    say = moment.say("cost_noted", money=money, thing=_named(kind), date=on)
    return settled(moment, "the cost is kept", save, say)


def _named(kind: CostKind) -> Phrase:
    return Phrase(f"cost.{kind}")


def undo_cost(moment: Moment, saved: Saved) -> Turn:
    """Take a cost back."""
    money = Money(saved.minor, moment.facts.currency)
    say = moment.say("undone_cost", money=money, thing=_named(saved.cost), date=saved.on)
    return settled(
        moment, "the last cost is taken back", VoidCost(id=saved.id, farmer_id=saved.farmer_id), say
    )
