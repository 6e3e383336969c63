"""Other days for a farmer's texts and picking: the plots are planned anew, and nothing already told is told again."""

from datetime import date, datetime, timedelta
from typing import Final

from service.agronomy.due import picking_text_day
from service.core.columns import PlotChange
from service.core.model import Plot
from service.core.ports import Work
from service.use_cases.planting import WEEK, day_columns, plan_plot, weekdays_of
from service.use_cases.tools import Tools

# The weekly jobs whose new weekday has passed in this week already are planned for it all the same.
_BACK: Final = timedelta(days=WEEK - 1)


def set_days(
    work: Work,
    tools: Tools,
    farmer_id: int,
    text_day: int,
    pick_days: frozenset[int],
    *,
    on: date,
    now: datetime,
) -> None:
    """Set the weekdays of a farmer's open plots and plan them anew. It does not commit.

    What waits already goes with the next text. The revision of a plot stays, so that the numbers of the last list
    hold; each task's least gap keeps it from being told twice. Prompts that had become rare stay so, and where
    picking began early the weekly jobs stay on a picking day.
    """
    for plot in work.plots.of_farmer(farmer_id):
        if plot.closed_on is not None:
            continue
        after = _columns(plot, text_day, pick_days)
        before = {name: getattr(plot, name) for name in after}
        work.plots.keep_change(
            id=tools.ids.row(), plot_id=plot.id, at=now, who="the farmer", before=before, after=after
        )
        work.plots.set(plot.id, **after)
        if plot.live:
            plan_plot(work, tools, work.plots.the(plot.id), on, first=on - _BACK)


def _columns(plot: Plot, text_day: int, pick_days: frozenset[int]) -> PlotChange:
    if plot.collection_id is not None:
        # Picking is asked after before each collection; the farmer's own days wait until there is none any more.
        riding = picking_text_day(text_day, weekdays_of(plot.prompt_days))
        return {"text_day": riding if plot.picking_early else text_day, "picking_text_day": riding}
    days = day_columns(text_day, pick_days)
    riding = days["picking_text_day"]
    return {
        "text_day": riding if plot.picking_early else days["text_day"],
        "picking_text_day": riding,
        "pick_days": days["pick_days"],
        "prompt_days": days["prompt_days"] if plot.prompt_days == plot.pick_days else 1 << riding,
    }
