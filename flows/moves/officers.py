"""An officer's phone: counts, a farmer to be invited, and a warning that goes after a yes to the text that shows it.

From any other phone these words mean nothing: they are met like words nobody knows. A sender's number can be forged,
so nothing goes to a district on one text: the yes has to come from the phone that our question went to.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from flows.effects import Invite, SendAlert
from flows.facts import Desk
from flows.inputs import Join
from flows.moves import general, joining
from flows.moves.turn import Moment, Turn, asked, ended, missed, settled
from flows.orders import Warn
from flows.states import State
from flows.templates import TEMPLATES
from flows.wording import Grams, Phrase, of_district

# A forecast for a later day is no warning yet.
FURTHEST: Final = timedelta(days=6)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Warning:
    template: str
    on: date
    figure: int
    district: str


def counts(moment: Moment) -> Turn:
    """Tell an officer how their districts stand today."""
    desk = moment.facts.desk
    if desk is None:
        return general.words(moment)
    say = moment.say(
        "officer_counts",
        date=moment.facts.on,
        farmers=desk.farmers,
        asked=desk.asked,
        questions=desk.questions,
        kg=Grams(desk.grams),
    )
    return settled(moment, "the counts are told", say)


def join(moment: Moment) -> Turn:
    """Add whom an officer names with a number; from anybody else, and without a number, it is a wish to join."""
    desk, request = moment.facts.desk, moment.expect(Join)
    if desk is None or request.number is None:
        return joining.join(moment)
    planted = request.planted if request.planted and request.planted.other is None else None
    if not (request.name and request.plants and planted and request.district):
        return settled(moment, "something of the farmer is missing", moment.say("officer_help"))
    effect = Invite(
        name=request.name,
        number=request.number,
        language=moment.reading.slots.language or moment.facts.language,
        plants=request.plants,
        planted=planted,
        district=request.district,
    )
    return settled(moment, "a farmer is to be invited", effect)


def warn(moment: Moment) -> Turn:
    """Show an officer the warning they want, with how many phones it reaches, and ask for a yes."""
    desk = moment.facts.desk
    if desk is None:
        return general.words(moment)
    warning = _complete(moment, desk, moment.expect(Warn))
    if warning is None:
        return settled(moment, "the warning is not whole", moment.say("officer_help"))
    template = TEMPLATES[warning.template]
    if not template.makes_sense(warning.figure):
        say = moment.say(template.range_id, lowest=template.least, highest=template.most)
        return settled(moment, "the figure makes no sense", say)
    if not desk.phones:
        say = moment.say("officer_nobody", district=of_district(warning.district))
        return settled(moment, "the warning would reach nobody", say)
    return asked(
        moment,
        "a warning is shown",
        State.OFFER,
        moment.say(
            "officer_offer",
            n=desk.phones,
            district=of_district(warning.district),
            words=_shown(desk, warning),
        ),
        key=moment.facts.new_id,
        template=warning.template,
        on=warning.on.isoformat(),
        figure=warning.figure,
        district=warning.district,
        late=desk.late,
    )


def _complete(moment: Moment, desk: Desk, wish: Warn) -> _Warning | None:
    """Return the warning if all of it was said, for one of the officer's districts and one of the coming days."""
    today = moment.facts.on
    district = wish.district if wish.district in desk.districts else None
    if wish.template is None or wish.on is None or wish.figure is None or district is None:
        return None
    if not today <= wish.on <= today + FURTHEST:
        return None
    return _Warning(template=wish.template, on=wish.on, figure=wish.figure, district=district)


def _shown(desk: Desk, warning: _Warning) -> Phrase:
    return TEMPLATES[warning.template].phrase(
        officer=desk.name,
        district=of_district(warning.district),
        on=warning.on,
        figure=warning.figure,
        late=desk.late,
    )


def send(moment: Moment) -> Turn:
    """The officer said yes: the warning goes, and what came of it is told; an officer no more, they send nothing."""
    if moment.facts.desk is None:
        return leave(moment)
    talk = moment.conversation
    effect = SendAlert(
        key=talk.whole("key") or 0,
        template=talk.text("template") or "",
        on=date.fromisoformat(talk.text("on") or moment.facts.on.isoformat()),
        figure=talk.whole("figure") or 0,
        district=talk.text("district") or "",
        late=bool(talk.data.get("late")),
    )
    return settled(ended(moment), "the warning is to go", effect)


def leave(moment: Moment) -> Turn:
    """Nothing is sent."""
    return settled(ended(moment), "the warning is dropped", moment.say("officer_dropped"))


def unclear(moment: Moment) -> Turn:
    """Ask for a plain yes or no: nothing goes without it."""
    return missed(moment, "neither yes nor no", moment.say("officer_unclear"))
