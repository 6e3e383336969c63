"""Telling a group's farmers that a day of their collection has changed, and asking at once where it is tomorrow."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from flows.states import State
from flows.wording import Name, Phrase
from service.core.collecting import Collection
from service.core.kinds import KINDS
from service.core.ports import Work
from service.use_cases.collecting.following import bears
from service.use_cases.spraying import held_plots
from service.use_cases.spraying_by_officer import Deed
from service.use_cases.texts import new_text
from service.use_cases.tools import Tools

KIND: Final = "collection_change"
_DAY: Final = timedelta(days=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class News:
    """What farmers are told of a day.

    Attributes:
        until: from the hour of the collection on this day it is no news.
        asks: the text that asks as well, where the day `on` is tomorrow: the evening's text then falls away, as
            nobody gets two texts a day.
    """

    plain: Phrase
    until: date
    asks: Phrase | None = None
    on: date | None = None


def tell(work: Work, tools: Tools, deed: Deed, collection: Collection, news: News) -> None:
    """Text the farmers whose plants bear."""
    eve = max(deed.on, news.until - _DAY)
    bearing = [one for one in work.collections.plots(collection.id) if bears(tools.calendar, one, eve)]
    farmers = {plot.farmer_id for plot in bearing}
    asked: set[int] = set()
    if news.on == deed.on + _DAY:
        held = held_plots(work, [plot.id for plot in bearing], news.on)
        asked = farmers - {plot.farmer_id for plot in bearing if plot.id in held}
    ends = datetime.combine(news.until, time(collection.hour), ZoneInfo(collection.zone)).astimezone(UTC)
    messages = []
    for one in work.collections.members(collection.group_id, deed.now):
        if one.farmer_id not in farmers:
            continue
        asks = news.asks if one.farmer_id in asked else None
        phrase = asks or news.plain
        message = new_text(
            tools,
            Phrase(phrase.text_id, {"name": Name(one.name), **phrase.values}),
            language=one.language,
            kind=KIND,
            phone_id=one.phone_id,
            farmer_id=one.farmer_id,
            zone=collection.zone,
            day=deed.on,
            # Each press says something else than the one before it.
            idem_key=f"{KIND}:{collection.id}:{one.farmer_id}:{tools.ids.row()}",
            not_before=deed.now,
            until=ends,
            opens=_question(news) if asks else None,
        )
        messages.append(message)
    if messages:
        work.outbox.queue(messages, gateway=tools.programme.gateway, kinds=KINDS, at=deed.now)


def _question(news: News) -> dict[str, object]:
    return {"state": State.ESTIMATE, "data": {"on": news.on.isoformat() if news.on else ""}}
