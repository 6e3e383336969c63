"""What the farmer's page says first after something was kept."""

from typing import Final

from service.db.queries.console_values import PlotFacts
from service.web.words import MULCHES, PRECISIONS, counted, full_day, worded

SENTENCES: Final = {
    "person": "Kept: texts go by what stands here now.",
    "paused": "Kept: no job is texted before that day. “Go on now” ends the pause earlier.",
    "resumed": "The pause is over: texts come again from today.",
    "stopped": "Kept: they get no more texts. If it was a slip, take it back within a day.",
    "stop_back": "Taken back: texts come again from today.",
    "weight": "Kept: the weight counts in all totals, and no UNDO of the farmer takes it back.",
    "weight_back": "Taken back: the weight counts no more.",
    "money": "Kept: the sums below go by it.",
    "number": "The new number has been asked. Until its yes texts go where they went before.",
    "number_gone": "The new number has been asked, and nothing goes to the old one any more.",
    "number_back": "Taken back: the number stays as it was.",
}


def sentence(word: str, plot: PlotFacts | None) -> str:
    """Return what was kept; empty where nothing was."""
    return _of_plot(plot) if word == "plot" and plot else SENTENCES.get(word, "")


def _of_plot(plot: PlotFacts) -> str:
    """Say what the plot is now, so that a reload says nothing that is no longer so."""
    planted = " ".join(filter(None, ("planted", PRECISIONS.get(plot.precision), full_day(plot.planted_on))))
    mulch = f"mulch {worded(plot.mulch_kind, MULCHES)}" if plot.mulch_kind else "mulch not known"
    return f"Kept: {counted(plot.plants, 'plant')}, {planted}, {mulch}. The jobs to come follow from that."
