"""Weather that another machine posts: taken once, whole or not at all."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, Protocol

from service.core.errors import Refused
from service.core.model import District
from service.core.weather_ports import ImportWay
from service.core.wire_ports import Hooks
from service.use_cases.tools import Tools
from service.use_cases.weather.figures import FIGURES, Span
from service.use_cases.weather.rows import Gathered, Origin, gather
from service.use_cases.weather.taking import NothingNew, Sender, WeatherWork, take

# Beside the gateways' own names, among the ids that were seen.
SOURCE: Final = "weather"


class PostWork(WeatherWork, Protocol):
    """A unit of work, as far as posts need it."""

    @property
    def hooks(self) -> Hooks:
        """What was posted."""
        ...


@dataclass(frozen=True, kw_only=True, slots=True)
class WeatherPost:
    """What was posted.

    Attributes:
        district: its name.
        sender: how the machine calls itself.
        issued_at: when the forecast was issued; None for what was measured.
        days: cells by column, as a file has them; `hours` likewise.
    """

    district: str
    sender: str
    issued_at: datetime | None
    days: Sequence[Mapping[str, Any]]
    hours: Sequence[Mapping[str, Any]]


def take_weather_post(
    work: PostWork, tools: Tools, post_id: str, post: WeatherPost, *, posted_at: datetime, now: datetime
) -> bool:
    """Keep what was posted; return whether it was new, both its id and what it tells.

    Args:
        work: a unit of work.
        tools: what dangers are judged by.
        post_id: posted again under the same id it has no effect.
        post: what was posted.
        posted_at: real time, in which posts are counted as seen.
        now: service time.

    Raises:
        Refused: some of it cannot be taken; nothing is kept, and it may come again under its id when it is mended.
    """
    if work.hooks.seen(SOURCE, post_id, posted_at):
        return False
    home = _home(work.people.districts(), post.district)
    gathered = _gathered(post, Origin(zone=home.zone, now=now, issued_at=post.issued_at))
    sender = Sender(officer=None, way=ImportWay.HOOK, file_name=post.sender, at=now)
    try:
        take(work, tools, home, gathered, sender)
    except NothingNew:
        return False
    return True


def _home(districts: Iterable[District], name: str) -> District:
    found = next((one for one in districts if one.name.casefold() == name.casefold()), None)
    if found is None:
        raise Refused("There is no district of that name here: post one that is there.")
    return found


def _gathered(post: WeatherPost, origin: Origin) -> Gathered:
    """Read days and hours.

    Raises:
        Refused: with the first thing that is wrong.
    """
    if post.issued_at is not None and post.issued_at > origin.now:
        raise Refused("issued_at is still to come: correct it.")
    if not post.days and not post.hours:
        raise Refused("It tells of no day and of no hour: post some.")
    read = {}
    for span, lines in ((Span.DAY, post.days), (Span.HOUR, post.hours)):
        known = {span.value, *(figure.column for figure in FIGURES[span])}
        for number, cells in enumerate(lines, start=1):
            if odd := sorted(set(cells) - known):
                raise Refused(f"{span} {number}: there is no {odd[0][:40]}: use {', '.join(sorted(known))}.")
        read[span] = gather(span, enumerate(lines, start=1), origin)
        for fault in read[span].faults:
            raise Refused(f"{span} {fault.line}: {fault.sentence}")
    return Gathered(days=read[Span.DAY].days, hours=read[Span.HOUR].hours, faults=())
