"""Sprays that a database put back has forgotten: held again, as far as the send journal knows that one was told.

The journal keeps no words, only which text left to which phone. A text that promised a hold says that somebody there had
sprayed by then, so nothing is picked from any plot of theirs for as long as any label could have said, counted from
the day it left. An officer who has asked enters the label's days on the plot's page, and they count from then on.
"""

from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from flows.facts import FarmerState
from flows.spray_texts import HELD_AS_TOLD, HELD_LONGEST
from flows.spraying import MOST_DAYS
from service.core.journal import Departure
from service.core.ports import Work
from service.core.spraying import NewSpray
from service.use_cases.reconciling import HoldAgain
from service.use_cases.spraying import keep_sprays
from service.use_cases.tools import Tools

# Answers are named after the text they answer: reply:TEXT:PLACE.
_ANSWER: Final = "reply"


def holds_again(work: Work, tools: Tools, now: datetime) -> HoldAgain:
    """Return what lets nothing be picked where a text left that promised a hold; it does not commit.

    It is given the text and its phone's id, and returns for how many plots it holds now.
    """

    def hold(departure: Departure, phone_id: int) -> int:
        days = _days(departure.text_id, tools.programme.longest_hold)
        told_in = departure.idem_key.split(":")
        if days is None or told_in[0] != _ANSWER:
            return 0
        zone = ZoneInfo(departure.zone)
        on = departure.at.astimezone(zone).date()
        free = on + timedelta(days=days)
        people = (one for one in work.people.on_phone(phone_id) if one.state is not FarmerState.ERASED)
        plots = [plot for one in people for plot in work.plots.of_farmer(one.id) if plot.closed_on is None]
        sprays = [
            NewSpray(
                id=tools.ids.row(),
                plot_id=plot.id,
                sprayed_on=on,
                label_days=None,
                pick_from=free,
                inbound_id=int(told_in[1]),
                phone_id=phone_id,
                at=departure.at,
            )
            for plot in plots
        ]
        keep_sprays(work, sprays, now.astimezone(zone).date(), now)
        return len(sprays)

    return hold


def _days(text_id: str, longest: int) -> int | None:
    """Return the days that no hold promised in a text was longer than; None where it promised none."""
    if text_id in HELD_LONGEST:
        return longest
    # What the label said is lost with the text.
    return max(longest, MOST_DAYS) if text_id in HELD_AS_TOLD else None
