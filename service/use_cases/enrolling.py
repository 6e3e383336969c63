"""What makes somebody a farmer here, whichever way they come: by a text of their own, or through an officer."""

from datetime import date, datetime

from flows.facts import FarmerState
from service.core.model import District
from service.core.ports import Work
from service.use_cases.experimenting import hold_out_by_lot
from service.use_cases.planting import default_days, plan_plot, weekdays_of
from service.use_cases.tools import Tools
from service.use_cases.waiting import PENDING_FOR


def enrol(
    work: Work,
    tools: Tools,
    *,
    farmer_id: int,
    name: str,
    language: str,
    district: District,
    phone_id: int,
    planted_on: date,
    precision: str,
    plants: int,
    mulch_kind: str | None = None,
    now: datetime,
    on: date,
) -> None:
    """Add a farmer who has not said yes yet, with a phone and a plot that rests until then; it does not commit.

    `on` is the local day. The text day is its weekday, or the next one that is free on a phone several share.
    """
    work.people.add_farmer(
        id=farmer_id,
        name=name,
        language=language,
        district_id=district.id,
        state=FarmerState.PENDING,
        now=now,
        pending_until=now + PENDING_FOR,
    )
    hold_out_by_lot(work, farmer_id, on)
    taken = _days_of_others(work, phone_id)
    role = "shared" if work.people.on_phone(phone_id) else "own"
    work.people.link_phone(farmer_id, phone_id, role=role, preferred=True, now=now)
    work.plots.add(
        farmer_id=farmer_id,
        planted_on=planted_on,
        precision=precision,
        plants=plants,
        mulch_kind=mulch_kind,
        elevation_m=district.elevation_m,
        zone=district.zone,
        calendar_id=tools.calendar_in(district.name).id,
        live=False,
        **default_days(on, taken),
    )


def begin_texts(work: Work, tools: Tools, *, farmer_id: int, phone_id: int, on: date) -> None:
    """Let a farmer who has agreed be texted on that phone, from the local day `on`; it does not commit."""
    # Whoever comes back from another phone wants the texts on that one.
    work.people.prefer(farmer_id, phone_id)
    work.people.set_state(farmer_id, FarmerState.ACTIVE)
    work.plots.set_live(farmer_id, live=True)
    for plot in work.plots.of_farmer(farmer_id):
        if plot.live:
            plan_plot(work, tools, plot, on)


def _days_of_others(work: Work, phone_id: int) -> frozenset[int]:
    """Return the weekdays on which texts go to the phone already: the cap is the phone's, not the farmer's."""
    plots = [plot for one in work.people.on_phone(phone_id) for plot in work.plots.of_farmer(one.id)]
    return frozenset(day for plot in plots for day in (plot.text_day, *weekdays_of(plot.pick_days)))
