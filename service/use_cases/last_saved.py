"""What UNDO would take back: of each kind that can be taken back the last that a phone told, and of these the newest.

A kind is a row of `_KINDS`: what is asked, whose it is, and how it is told. What belongs to nobody that the phone
speaks for now is left alone.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final, Protocol, TypeVar

from flows.facts import Saved, SavedKind
from flows.wording import Phrase
from service.core.collecting import SavedEstimate
from service.core.model import Plot
from service.core.money_ports import KeptCost, KeptSale
from service.core.ports import Work
from service.core.saved import SavedJobs, SavedWeight
from service.core.spraying import KeptSpray
from service.core.water_ports import SavedRain
from service.use_cases.tools import Tools
from service.use_cases.wording_jobs import label


@dataclass(frozen=True, kw_only=True, slots=True)
class _Phone:
    """A phone, those it speaks for and their plots, and since when something may be taken back."""

    work: Work
    tools: Tools
    id: int
    farmers: frozenset[int]
    plots: Mapping[int, Plot]
    on: date
    since: datetime


class _Told(Protocol):
    """What was told, and when."""

    @property
    def at(self) -> datetime: ...


class _OfFarmer(Protocol):
    """What is a farmer's own."""

    @property
    def farmer_id(self) -> int: ...


class _OnPlot(Protocol):
    """What belongs to a plot."""

    @property
    def plot_id(self) -> int: ...


_T = TypeVar("_T", bound=_Told)
_Kind = Callable[[_Phone], tuple[datetime, Saved] | None]


def last_saved(
    work: Work, tools: Tools, phone_id: int, people: tuple[int, ...], *, on: date, since: datetime
) -> Saved | None:
    """Return the newest of what was told of each kind since then; `people` are the ids of those the phone speaks for."""
    phone = _Phone(
        work=work,
        tools=tools,
        id=phone_id,
        farmers=frozenset(people),
        plots={plot.id: plot for person in people for plot in work.plots.of_farmer(person)},
        on=on,
        since=since,
    )
    found = [told for told in (kind(phone) for kind in _KINDS) if told]
    # Ids rise with time, also within one instant.
    return max(found, key=lambda told: (told[0], told[1].id))[1] if found else None


def _kind(
    newest: Callable[[_Phone], _T | None],
    owner: Callable[[_Phone, _T], int | None],
    tell: Callable[[_Phone, _T, int], Saved],
) -> _Kind:
    """Join what is asked, whose it is and how it is told to one row."""

    def told(phone: _Phone) -> tuple[datetime, Saved] | None:
        last = newest(phone)
        farmer_id = owner(phone, last) if last else None
        return None if last is None or farmer_id is None else (last.at, tell(phone, last, farmer_id))

    return told


def _its_farmer(phone: _Phone, told: _OfFarmer) -> int | None:
    return told.farmer_id if told.farmer_id in phone.farmers else None


def _of_its_plot(phone: _Phone, told: _OnPlot) -> int | None:
    plot = phone.plots.get(told.plot_id)
    return plot.farmer_id if plot else None


def _of_their_plot(phone: _Phone, jobs: SavedJobs) -> int:
    # Jobs are asked for by the plots, so that theirs is one of them.
    return phone.plots[jobs.first.key.plot_id].farmer_id


def _last_done(phone: _Phone) -> SavedJobs | None:
    return phone.work.reminders.last_done(phone.id, list(phone.plots), phone.since) if phone.plots else None


def _weight(_: _Phone, told: SavedWeight, farmer_id: int) -> Saved:
    return Saved(
        kind=SavedKind.HARVEST,
        id=told.id,
        farmer_id=farmer_id,
        on=told.on,
        grams=told.grams,
        in_question=told.in_question,
        replaced=told.replaced,
    )


def _jobs(phone: _Phone, told: SavedJobs, farmer_id: int) -> Saved:
    key = told.first.key
    own = phone.tools.with_calendar(phone.plots[key.plot_id].calendar_id)
    name = label(own, told.first, phone.on) if told.tasks == 1 else Phrase("jobs_count", {"n": told.tasks})
    return Saved(kind=SavedKind.JOB, id=told.report_id, farmer_id=farmer_id, on=key.due_on, label=name)


def _rain(_: _Phone, told: SavedRain, farmer_id: int) -> Saved:
    return Saved(kind=SavedKind.RAIN, id=told.id, farmer_id=farmer_id, on=told.on, tenths=told.tenths)


def _estimate(_: _Phone, told: SavedEstimate, farmer_id: int) -> Saved:
    return Saved(kind=SavedKind.ESTIMATE, id=told.id, farmer_id=farmer_id, on=told.on, grams=told.grams)


def _spray(_: _Phone, told: KeptSpray, farmer_id: int) -> Saved:
    return Saved(kind=SavedKind.SPRAY, id=told.id, farmer_id=farmer_id, on=told.sprayed_on)


def _sale(_: _Phone, told: KeptSale, farmer_id: int) -> Saved:
    return Saved(
        kind=SavedKind.SALE,
        id=told.id,
        farmer_id=farmer_id,
        on=told.sold_on,
        grams=told.grams,
        minor=told.minor,
    )


def _cost(_: _Phone, told: KeptCost, farmer_id: int) -> Saved:
    return Saved(
        kind=SavedKind.COST,
        id=told.id,
        farmer_id=farmer_id,
        on=told.spent_on,
        minor=told.minor,
        cost=told.kind,
    )


_KINDS: Final[tuple[_Kind, ...]] = (
    _kind(lambda phone: phone.work.harvests.last_saved(phone.id, phone.since), _of_its_plot, _weight),
    _kind(_last_done, _of_their_plot, _jobs),
    _kind(lambda phone: phone.work.watering.last_rain(phone.id, phone.since), _its_farmer, _rain),
    _kind(lambda phone: phone.work.estimates.last_saved(phone.id, phone.since), _its_farmer, _estimate),
    _kind(lambda phone: phone.work.sprays.last_saved(phone.id, phone.since), _of_its_plot, _spray),
    _kind(lambda phone: phone.work.money.last_sale(phone.id, phone.since), _of_its_plot, _sale),
    _kind(lambda phone: phone.work.money.last_cost(phone.id, phone.since), _of_its_plot, _cost),
)
