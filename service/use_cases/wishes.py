"""Carrying out what a farmer wishes: language, days, a pause, warnings, and to be forgotten."""

from collections.abc import Callable
from datetime import date, datetime
from typing import Any, Final, Protocol

from flows import effects as fx
from flows.edits import CountPlants, Rename, Replant, SetPlants
from flows.facts import FarmerState
from service.core.alerts import Answer
from service.core.model import Inbound, parse_keys
from service.core.ports import Work
from service.use_cases.changing_numbers import not_agreed
from service.use_cases.days import set_days
from service.use_cases.planting import correct_planting_date
from service.use_cases.resting import rest
from service.use_cases.tools import Tools

# Who changed a plot, as its history tells it.
_THE_FARMER: Final = "the farmer"
_COUNTED: Final = "the farmer, who counted"


class Carried(Protocol):
    """One text's effects on their way into the database, see `service.use_cases.carrying`."""

    work: Work
    tools: Tools
    inbound: Inbound
    on: date
    zone: str
    now: datetime
    replanned: set[int]


def _put_off(carry: Carried, effect: fx.PutOff) -> None:
    for key in parse_keys(effect.key):
        carry.work.reminders.put_off(key, carry.on)


def _dismiss(carry: Carried, effect: fx.DismissJob) -> None:
    for key in parse_keys(effect.key):
        carry.work.reminders.mark_answered(key, "not_needed", carry.now)


def _answer_alert(carry: Carried, effect: fx.AnswerAlert) -> None:
    carry.work.alerts.answer(effect.alert_id, carry.inbound.phone_id, Answer(effect.answer), carry.now)


def _set_language(carry: Carried, effect: fx.SetLanguage) -> None:
    carry.work.people.set_farmer(effect.farmer_id, language=effect.language)


def _set_days(carry: Carried, effect: fx.SetDays) -> None:
    set_days(
        carry.work,
        carry.tools,
        effect.farmer_id,
        effect.text_day,
        effect.pick_days,
        on=carry.on,
        now=carry.now,
    )
    carry.replanned.add(effect.farmer_id)


def _rename(carry: Carried, effect: Rename) -> None:
    carry.work.people.set_farmer(effect.farmer_id, name=effect.name)


def _set_plants(carry: Carried, effect: SetPlants) -> None:
    _plants_are(carry, effect.plot_id, effect.plants, _THE_FARMER)


def _count_plants(carry: Carried, effect: CountPlants) -> None:
    _plants_are(carry, effect.plot_id, effect.plants, _COUNTED)


def _plants_are(carry: Carried, plot_id: int, plants: int, who: str) -> None:
    plots, before = carry.work.plots, carry.work.plots.the(plot_id).plants
    plots.keep_change(
        id=carry.tools.ids.row(),
        plot_id=plot_id,
        at=carry.now,
        who=who,
        before={"plants": before},
        after={"plants": plants},
    )
    plots.set(plot_id, plants=plants)


def _replant(carry: Carried, effect: Replant) -> None:
    correct_planting_date(
        carry.work,
        carry.tools,
        effect.plot_id,
        effect.planted.on,
        precision=effect.planted.precision,
        who=_THE_FARMER,
        on=carry.on,
        now=carry.now,
    )
    carry.replanned.add(effect.farmer_id)


def _rest(carry: Carried, effect: fx.Rest) -> None:
    phones = [carry.inbound.phone_id]
    rest(carry.work, effect.farmer_id, phones, until=effect.until, zone=carry.zone, now=carry.now)


def _resume(carry: Carried, effect: fx.Resume) -> None:
    carry.work.people.set_farmer(effect.farmer_id, paused_until=None)
    carry.replanned.add(effect.farmer_id)


def _take_alerts(carry: Carried, effect: fx.TakeAlerts) -> None:
    """Keep for each farmer whose texts go to this phone whether they want alerts, with the evidence."""
    work, phone_id = carry.work, carry.inbound.phone_id
    for person in work.people.on_phone(phone_id):
        if not person.preferred:
            continue
        work.people.set_farmer(person.id, alerts=effect.wanted)
        work.people.add_consent(
            id=carry.tools.ids.row(),
            phone_id=phone_id,
            farmer_id=person.id,
            purpose="alerts",
            answer="yes" if effect.wanted else "stopped",
            text_id=None,
            text_shown=None,
            inbound_id=carry.inbound.id,
            at=carry.now,
            on_day=carry.on,
        )
    if not effect.wanted:
        work.alerts.withdraw(phone_id, carry.now)


def _erase(carry: Carried, effect: fx.Erase) -> None:
    carry.work.erasing.erase(effect.farmer_id, carry.on, carry.now, but_inbound=carry.inbound.id)


def _unlink(carry: Carried, _effect: fx.Unlink) -> None:
    """Let the phone speak for nobody: who has it now sees nothing of those it spoke for."""
    work, phone_id = carry.work, carry.inbound.phone_id
    work.outbox.cancel_pushed(phone_id, carry.now, why="the number has changed hands")
    for person in work.people.on_phone(phone_id):
        work.people.add_consent(
            id=carry.tools.ids.row(),
            phone_id=phone_id,
            farmer_id=person.id,
            answer="wrong number",
            text_id=None,
            text_shown=None,
            inbound_id=carry.inbound.id,
            at=carry.now,
            on_day=carry.on,
        )
        if person.state is FarmerState.PENDING:
            not_agreed(work, person, phone_id, carry.now, but_inbound=carry.inbound.id)
    work.people.unlink(phone_id, carry.now)


WISHES: Final[dict[type[Any], Callable[[Any, Any], None]]] = {
    fx.PutOff: _put_off,
    fx.DismissJob: _dismiss,
    fx.AnswerAlert: _answer_alert,
    fx.SetLanguage: _set_language,
    fx.SetDays: _set_days,
    Rename: _rename,
    SetPlants: _set_plants,
    CountPlants: _count_plants,
    Replant: _replant,
    fx.Rest: _rest,
    fx.Resume: _resume,
    fx.TakeAlerts: _take_alerts,
    fx.Erase: _erase,
    fx.Unlink: _unlink,
}
