"""Carrying out what an answer asks for: one function an effect, all in the transaction of the text answered."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Final

from flows import effects as fx
from flows.facts import FarmerState
from flows.weighed import CountHarvest, ReplaceDay, SaveHarvest, VoidHarvest
from service.core.kinds import KINDS
from service.core.model import HarvestState, Inbound, PersonOnPhone, parse_keys
from service.core.ports import Work
from service.use_cases.by_phone import BY_PHONE
from service.use_cases.changing_numbers import not_agreed, number_agreed
from service.use_cases.collecting.by_text import BASKETS
from service.use_cases.collecting.telling import ESTIMATES
from service.use_cases.enrolling import begin_texts, enrol
from service.use_cases.money import MONEY
from service.use_cases.resting import end_texts
from service.use_cases.scouting import forget_looks, keep_look
from service.use_cases.spraying import SPRAYS
from service.use_cases.texts import new_text
from service.use_cases.tools import Tools
from service.use_cases.vessels import VESSELS
from service.use_cases.watering_told import WATERING
from service.use_cases.weighing import weight_counts, weight_is_gone
from service.use_cases.wishes import WISHES


@dataclass(kw_only=True)
class Carrying:
    """One text's effects on their way into the database.

    Attributes:
        on: the local day.
        says_at: when answers may leave.
        replanned: farmers whose day was planned anew, for their texts to be written.
    """

    work: Work
    tools: Tools
    inbound: Inbound
    on: date
    zone: str
    now: datetime
    says_at: datetime
    said: int = 0
    replanned: set[int] = field(default_factory=set)

    def carry_out(self, effect: fx.Effect) -> None:
        """Carry out one effect."""
        _CARRIERS[type(effect)](self, effect)


def _say(carry: Carrying, effect: fx.Say) -> None:
    carry.said += 1
    text = new_text(
        carry.tools,
        effect.phrase,
        language=effect.language,
        kind=effect.kind,
        phone_id=carry.inbound.phone_id,
        farmer_id=None,
        zone=carry.zone,
        day=carry.on,
        idem_key=f"reply:{carry.inbound.id}:{carry.said}",
        not_before=carry.says_at,
        inbound_id=carry.inbound.id,
    )
    gateway = carry.tools.programme.gateway
    carry.work.outbox.queue([text], gateway=gateway, kinds=KINDS, at=carry.now)


def _add_farmer(carry: Carrying, effect: fx.AddFarmer) -> None:
    district = next(one for one in carry.work.people.districts() if one.name == effect.district)
    enrol(
        carry.work,
        carry.tools,
        farmer_id=effect.id,
        name=effect.name,
        language=effect.language,
        district=district,
        phone_id=carry.inbound.phone_id,
        planted_on=effect.planted.on,
        precision=effect.planted.precision,
        plants=effect.plants,
        now=carry.now,
        on=carry.on,
    )


def _consent(
    carry: Carrying, farmer_id: int, answer: str, text_id: str | None = None, text: str | None = None
) -> None:
    carry.work.people.add_consent(
        id=carry.tools.ids.row(),
        phone_id=carry.inbound.phone_id,
        farmer_id=farmer_id,
        answer=answer,
        text_id=text_id,
        text_shown=text,
        inbound_id=carry.inbound.id,
        at=carry.now,
        on_day=carry.on,
    )


def _asked_consent(carry: Carrying, effect: fx.AskedConsent) -> None:
    text = carry.tools.wording.write(effect.phrase, effect.language)
    _consent(carry, effect.farmer_id, "asked", effect.phrase.text_id, text)


def _give_consent(carry: Carrying, effect: fx.GiveConsent) -> None:
    work = carry.work
    _consent(carry, effect.farmer_id, "yes")
    number_agreed(work, effect.farmer_id, carry.inbound.phone_id, carry.now)
    work.people.unstop(carry.inbound.phone_id)
    begin_texts(work, carry.tools, farmer_id=effect.farmer_id, phone_id=carry.inbound.phone_id, on=carry.on)
    carry.replanned.add(effect.farmer_id)


def _decline(carry: Carrying, effect: fx.Decline) -> None:
    _consent(carry, effect.farmer_id, "no")
    _forget_pending(carry, effect.farmer_id)


def _forget_pending(carry: Carrying, farmer_id: int) -> None:
    for person in carry.work.people.on_phone(carry.inbound.phone_id):
        if person.id == farmer_id and _is_pending(person):
            _not_agreed(carry, person)


def _not_agreed(carry: Carrying, person: PersonOnPhone) -> None:
    not_agreed(carry.work, person, carry.inbound.phone_id, carry.now, but_inbound=carry.inbound.id)


def _is_pending(person: PersonOnPhone) -> bool:
    return person.state is FarmerState.PENDING


def _forget(carry: Carrying, effect: fx.Forget) -> None:
    _forget_pending(carry, effect.farmer_id)


def _save_harvest(carry: Carrying, effect: SaveHarvest) -> None:
    carry.work.harvests.add(
        id=effect.id,
        plot_id=effect.plot_id,
        picked_on=effect.on,
        grams=effect.grams,
        state=HarvestState.IN_QUESTION if effect.in_question else HarvestState.COUNTED,
        inbound_id=carry.inbound.id,
        phone_id=carry.inbound.phone_id,
        at=carry.now,
    )
    carry.work.sprays.flag_weights([effect.plot_id])
    if not effect.in_question:
        weight_counts(carry.work, carry.tools, effect.plot_id, effect.on, carry.now)


def _count_harvest(carry: Carrying, effect: CountHarvest) -> None:
    plot_id, on = carry.work.harvests.count(effect.id, effect.grams, carry.now)
    weight_counts(carry.work, carry.tools, plot_id, on, carry.now)


def _void_harvest(carry: Carrying, effect: VoidHarvest) -> None:
    plot_id, on = carry.work.harvests.void(effect.id, carry.inbound.id)
    weight_is_gone(carry.work, plot_id, on)


def _replace_day(carry: Carrying, effect: ReplaceDay) -> None:
    carry.work.harvests.replace_day(effect.id)


def _list_jobs(carry: Carrying, effect: fx.ListJobs) -> None:
    places = [(key, place) for word, place in effect.places for key in parse_keys(word)]
    carry.work.reminders.place(effect.farmer_id, places)


def _save_done(carry: Carrying, effect: fx.SaveDone) -> None:
    for key in parse_keys(effect.key):
        carry.work.reminders.mark_answered(key, effect.answer, carry.now)
        carry.work.reminders.add_done(
            id=carry.tools.ids.row(),
            plot_id=key.plot_id,
            task=key.task,
            due_on=key.due_on,
            revision=key.revision,
            inbound_id=carry.inbound.id,
            at=carry.now,
        )


def _undo_done(carry: Carrying, effect: fx.UndoDone) -> None:
    # What was seen is found by the report, so it is forgotten first.
    forget_looks(carry, effect.id)
    carry.work.reminders.undo_done(effect.id, carry.inbound.id)


def _save_question(carry: Carrying, effect: fx.SaveQuestion) -> None:
    # Help that is asked for twice is one call while nobody has seen to it.
    if effect.alert_id and carry.work.talks.help_waits(effect.alert_id, carry.inbound.phone_id):
        return
    if effect.follows is not None:
        carry.work.talks.go_on(effect.follows, effect.text)
        return
    # What one phone sends and nobody understands is one line for an officer.
    if effect.urgency is fx.Urgency.NOT_UNDERSTOOD and carry.work.talks.add_words(
        carry.inbound.phone_id, effect.text
    ):
        return
    carry.work.talks.add_question(
        id=effect.id,
        code=effect.code,
        phone_id=carry.inbound.phone_id,
        farmer_id=effect.farmer_id,
        inbound_id=carry.inbound.id,
        text=effect.text,
        urgency=effect.urgency,
        alert_id=effect.alert_id,
        asked_at=carry.now,
    )


def _stop_phone(carry: Carrying, _effect: fx.StopPhone) -> None:
    """Stop all texts to the phone; farmers whose texts went there rest with it."""
    work, phone_id = carry.work, carry.inbound.phone_id
    work.people.stop(phone_id, carry.now)
    work.outbox.cancel_pushed(phone_id, carry.now)
    for person in work.people.on_phone(phone_id):
        if not person.preferred and not person.asked:
            continue
        _consent(carry, person.id, "stopped")
        if _is_pending(person):
            # Asked whether we may text, STOP is a no.
            _not_agreed(carry, person)
            continue
        end_texts(work, person.id, carry.now)


_CARRIERS: Final[dict[type[Any], Callable[[Carrying, Any], None]]] = {
    fx.Say: _say,
    fx.AddFarmer: _add_farmer,
    fx.AskedConsent: _asked_consent,
    fx.GiveConsent: _give_consent,
    fx.Decline: _decline,
    fx.Forget: _forget,
    SaveHarvest: _save_harvest,
    CountHarvest: _count_harvest,
    VoidHarvest: _void_harvest,
    ReplaceDay: _replace_day,
    fx.ListJobs: _list_jobs,
    fx.SaveDone: _save_done,
    fx.UndoDone: _undo_done,
    fx.SaveScout: keep_look,
    fx.SaveQuestion: _save_question,
    fx.StopPhone: _stop_phone,
    **WISHES,
    **WATERING,
    **VESSELS,
    **SPRAYS,
    **MONEY,
    **ESTIMATES,
    **BASKETS,
    **BY_PHONE,
}
