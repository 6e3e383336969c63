"""Correcting a plot: the form, what would follow from it, and doing it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import Final

from flask import Blueprint, Response, abort, make_response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from service.clock import local_day
from service.core.errors import Refused
from service.core.model import Plot
from service.core.rights import Permission
from service.db.queries.console_values import FarmerFacts
from service.use_cases.editing_plots import (
    Impact,
    Job,
    before_correction,
    edit_plot,
    fingerprint,
    impact,
)
from service.use_cases.plot_edits import PlotEdit
from service.web.farmers.jobs import ComingDay, label
from service.web.farmers.views import LARGEST_ID
from service.web.house import House, Work, the_house
from service.web.permissions import needs, the_officer
from service.web.plots import fields

pages = Blueprint("plots", __name__)

_ONE: Final = f"/plots/<int(max={LARGEST_ID}):plot_id>/edit"
_MEASURES: Final = ("bed_width_cm", "path_width_cm", "bed_rows", "spacing_cm", "elevation_m")
_SO_ALREADY: Final = "The plot is like that already: nothing would change."


@dataclass(frozen=True, kw_only=True, slots=True)
class Desk:
    """A plot before an officer whose it is to edit."""

    plot: Plot
    farmer: FarmerFacts
    on: date


@pages.get(_ONE)
@needs(Permission.EDIT_PLOT)
def show(plot_id: int) -> Response:
    """Show the form, and what can be taken back."""
    with the_house().database.look() as work:
        desk = _desk(work, plot_id)
        earlier = before_correction(work, desk.plot)
    return _form(desk, PlotEdit.of(desk.plot), earlier, "", 200)


@pages.get(f"{_ONE}/follows")
@needs(Permission.EDIT_PLOT)
def follows(plot_id: int) -> Response:
    """Show what would follow: a page of its own address, so that "back" leads to it and sends nothing again."""
    house = the_house()
    wanted = None
    try:
        wanted = fields.read(request.args)
        with house.database.look() as work:
            desk = _desk(work, plot_id)
            found = impact(work, house.tools, desk.plot, wanted, desk.on)
    except Refused as refusal:
        return _again(plot_id, wanted, str(refusal), 400)
    return _impact(desk, wanted, found) if found.changed else _again(plot_id, wanted, _SO_ALREADY, 200)


@pages.post(_ONE)
@needs(Permission.EDIT_PLOT)
def edit(plot_id: int) -> AnyResponse:
    """Keep what was seen; sent a second time it changes nothing more and says the same."""
    house = the_house()
    wanted = None
    try:
        wanted = fields.read(request.form)
        return _do(house, plot_id, wanted)
    except Refused as refusal:
        return _again(plot_id, wanted, str(refusal), 400)


def _again(plot_id: int, wanted: PlotEdit | None, note: str, status: int) -> Response:
    """Show the form with what was typed, or with what the plot is where that could not be read."""
    with the_house().database.look() as work:
        desk = _desk(work, plot_id)
        earlier = before_correction(work, desk.plot)
    return _form(desk, wanted or PlotEdit.of(desk.plot), earlier, note, status)


def _do(house: House, plot_id: int, wanted: PlotEdit) -> AnyResponse:
    with house.database.work() as work:
        desk = _desk(work, plot_id)
        edit_plot(
            work,
            house.tools,
            the_officer(),
            plot_id,
            wanted,
            seen=request.form.get("seen", ""),
            on=desk.on,
            now=house.service_clock.now(),
            real_now=house.real_clock.now(),
        )
    plot = desk.plot
    return redirect(url_for("farmers.person", farmer_id=plot.farmer_id, plot=plot.id, kept="plot"), code=303)


def _desk(work: Work, plot_id: int) -> Desk:
    """Return the plot if its farmer lives in one of the officer's districts; else it is not there."""
    farmer = work.console.within(the_officer().districts).plot_owner(plot_id) or abort(404)
    plot = work.plots.get(plot_id) or abort(404)
    on = local_day(the_house().service_clock.now(), plot.zone)
    return Desk(plot=plot, farmer=farmer.facts(), on=on)


def _form(desk: Desk, typed: PlotEdit, earlier: PlotEdit | None, note: str, status: int) -> Response:
    page = render_template(
        "plots/edit.html",
        farmer=desk.farmer,
        plot=desk.plot,
        typed=typed,
        back=fields.hidden(earlier) if earlier else (),
        back_changes=fields.changes(desk.plot, earlier, earlier.changes(desk.plot)) if earlier else (),
        note=note,
        choices={name: words.items() for name, words in fields.CHOICES.items()},
        numbers=_MEASURES,
        labels=fields.LABELS,
        field=fields.field,
    )
    return make_response(page, status)


def _impact(desk: Desk, wanted: PlotEdit, found: Impact) -> Response:
    page = render_template(
        "plots/impact.html",
        farmer=desk.farmer,
        plot=desk.plot,
        seen=fingerprint(desk.plot),
        impact=found,
        changes=fields.changes(desk.plot, wanted, found.changed),
        hidden=fields.hidden(wanted),
        called_off=_labels(found.called_off),
        planned=_labels(found.planned),
        not_again=_labels(found.not_again),
        before=_days(found.before),
        after=_days(found.after),
        today=desk.on,
    )
    return make_response(page)


def _labels(jobs: Iterable[Job]) -> list[str]:
    """Return the names of jobs, each once, in the order of their days."""
    return list(dict.fromkeys(label(job.task, the_house().catalogue) for job in jobs))


def _days(jobs: Iterable[Job]) -> list[ComingDay]:
    return [
        ComingDay(day=day, labels=tuple(_labels(of_day)))
        for day, of_day in groupby(jobs, key=lambda job: job.due_on)
    ]
