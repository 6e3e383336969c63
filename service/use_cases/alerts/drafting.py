"""Writing an alert: from what an officer filled in to a draft."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from flows.templates import TEMPLATES
from service.core.alert_states import AlertState
from service.core.alerts import Alert, Audience, Reach
from service.core.doses import names_in
from service.core.errors import Refused
from service.core.model import District
from service.core.rights import Permission
from service.core.staff import Officer
from service.use_cases.alerts.nightfall import leaves_at, nightfall
from service.use_cases.alerts.one_a_day import others_of
from service.use_cases.alerts.ports import AlertWork
from service.use_cases.alerts.writing import (
    ORDINARY,
    URGENT,
    Written,
    check,
    sender_of,
    write_free,
    write_template,
)
from service.use_cases.tools import Tools

LONGEST_USE: Final = timedelta(days=7)
LONGEST_AHEAD: Final = timedelta(days=30)


class OutOfReach(Refused):
    """There is no such alert or district, or none for this officer; which of them is not told."""

    def __init__(self) -> None:
        """Say no more than that."""
        super().__init__("There is no such alert among those of your districts.")


@dataclass(frozen=True, kw_only=True, slots=True)
class Order:
    """What an officer filled in.

    Attributes:
        idem_key: names the form it was filled in on: sent twice, it makes one alert.
        template: its name, None for own words.
        on: the day a template speaks of.
        figure: a template's figure.
        words: own words by language.
        asks: whether own words are followed by 1 understood, 2 need help; templates always ask.
        urgent: whether own words may leave in quiet hours, as templates do.
        send_at: None for at once.
        useless_after: from then on nothing of it is sent any more.
    """

    idem_key: str
    audience: Audience
    template: str | None = None
    on: date | None = None
    figure: int | None = None
    words: Mapping[str, str]
    asks: bool = True
    urgent: bool = False
    send_at: datetime | None = None
    useless_after: datetime

    def as_json(self, *, late: bool) -> dict[str, object]:
        """Return what the form was filled with, for filling it anew, and whether its text is that of the night."""
        return {
            "late": late,
            "on": self.on.isoformat() if self.on else None,
            "figure": self.figure,
            "words": dict(self.words),
            "asks": self.asks or self.template is not None,
            "urgent": self.urgent,
        }


def draft(work: AlertWork, tools: Tools, officer: Officer, order: Order, now: datetime) -> Alert:
    """Keep an order as a draft, or return the alert that the same form has made already.

    Raises:
        OutOfReach: a district is not this officer's.
        Refused: the text may not be sent, or the hours make no sense.
    """
    there = work.alerts.by_key(order.idem_key)
    if there is not None:
        return seen_by(there, officer)
    new = _alert(work, tools, officer, order, now, tools.ids.row())
    if not work.alerts.add(new):
        # The same form, in the other of two clicks, was quicker.
        return seen_by(work.alerts.by_key(order.idem_key), officer)
    work.commit()
    return new


def redraft(
    work: AlertWork, tools: Tools, officer: Officer, alert_id: int, order: Order, *, now: datetime
) -> Alert:
    """Put another order into a draft.

    Raises:
        OutOfReach: the draft, or a district, is not this officer's.
        Refused: it is no draft any more, or the order cannot be taken.
    """
    there = seen_by(work.alerts.get(alert_id), officer)
    if there.state is not AlertState.DRAFT:
        raise Refused("Only a draft can be changed: call this alert off and write it anew.")
    changed = _alert(work, tools, officer, order, now, there.id)
    work.alerts.replace(changed)
    work.commit()
    return changed


def seen_by(alert: Alert | None, officer: Officer) -> Alert:
    """Return an alert if all its districts are this officer's.

    Raises:
        OutOfReach: they are not, or there is no alert.
    """
    if alert is None or not covers(officer, alert.audience.districts):
        raise OutOfReach
    return alert


def covers(officer: Officer, districts: frozenset[int]) -> bool:
    """Return whether an officer may text all these districts."""
    return bool(districts) and all(officer.covers(one) for one in districts)


def may(officer: Officer, permission: Permission) -> None:
    """Make sure that an officer's role allows something.

    Raises:
        Refused: it does not.
    """
    if not officer.may(permission):
        raise Refused(f"Your role does not allow you to {permission} here: ask an administrator.")


def _alert(  # noqa: PLR0917 - what both ways of writing a draft have at hand
    work: AlertWork, tools: Tools, officer: Officer, order: Order, now: datetime, alert_id: int
) -> Alert:
    may(officer, Permission.ALERT)
    audience = order.audience
    there = {one.id: one for one in work.people.districts()}
    if not covers(officer, audience.districts) or not audience.districts <= there.keys():
        raise OutOfReach
    send_at = order.send_at or now
    _check_hours(send_at, order.useless_after, now)
    kind = _kind(order)
    theirs = tuple(there[one] for one in sorted(audience.districts))
    late = is_late(tools, order, theirs, now)
    written = write(work, tools, order, officer, tuple(one.name for one in theirs), late=late)
    check(written)
    return Alert(
        id=alert_id,
        idem_key=order.idem_key,
        officer_id=officer.id,
        template=order.template,
        kind=kind,
        values=order.as_json(late=late),
        audience=audience,
        state=AlertState.DRAFT,
        made_at=now,
        confirmed_at=None,
        approved_by=None,
        approved_at=None,
        waits_until=None,
        send_at=send_at,
        useless_after=order.useless_after,
        ended_at=None,
        why=None,
        anyway=None,
        texts=tuple(sorted((one.as_alert_text for one in written), key=lambda text: text.language)),
    )


def _kind(order: Order) -> str:
    template = TEMPLATES.get(order.template or "")
    return URGENT if order.urgent or (template and template.urgent) else ORDINARY


def is_late(tools: Tools, order: Order, districts: Collection[District], now: datetime) -> bool:
    """Return whether the night that an order warns of has begun when it leaves, or is about to."""
    night = nightfall(order.template, order.on, districts, leaves_at(tools, order.send_at or now, now))
    return night is not None and night.late


def write(
    work: AlertWork, tools: Tools, order: Order, officer: Officer, districts: tuple[str, ...], *, late: bool
) -> tuple[Written, ...]:
    """Write an order out: a template in every language, own words in those they were written in.

    Raises:
        Refused: a template lacks its date or its figure.
    """
    sender = sender_of(tools, officer.name, districts)
    if order.template is None:
        asked = names_in("\n".join(order.words.values()))
        names = work.places.known(asked, officer.districts)
        return write_free(tools, order.words, sender=sender, asks=order.asks, names=names)
    if order.on is None or order.figure is None:
        raise Refused("A template needs its day and its figure.")
    return write_template(
        tools,
        order.template,
        sender=sender,
        on=order.on,
        figure=order.figure,
        languages=tools.packs.languages,
        late=late,
    )


def _check_hours(send_at: datetime, useless_after: datetime, now: datetime) -> None:
    if useless_after <= max(send_at, now):
        raise Refused(
            "The hour after which it is of no use must lie after the hour of sending: choose a later one."
        )
    if useless_after - send_at > LONGEST_USE:
        raise Refused("An alert is of use for seven days at most: nobody heeds an older one.")
    if send_at - now > LONGEST_AHEAD:
        raise Refused("An alert can be scheduled for thirty days ahead at most.")


def reach_of(  # noqa: PLR0917 - a question with its six terms, asked in three places
    work: AlertWork, tools: Tools, audience: Audience, kind: str, send_at: datetime, now: datetime
) -> Reach:
    """Return whom an alert of that kind reaches on the day it is sent."""
    return work.recipients.reach(audience, others=others_of(tools, kind, send_at), now=now)


def day_of(tools: Tools, send_at: datetime) -> date:
    """Return the day that an alert's messages belong to: that of sending, in the programme's zone."""
    return send_at.astimezone(ZoneInfo(tools.programme.zone)).date()


def needs_second_person(tools: Tools, alert: Alert, phones: int) -> bool:
    """Return whether a second person has to approve an alert: own words to many phones do."""
    return alert.template is None and phones > tools.programme.alerts.second_person_above
