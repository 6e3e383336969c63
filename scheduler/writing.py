"""From what was decided for a farmer's day to the text that leaves: its words, its hour and its question."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final

from flows.alphabet import parts
from flows.states import TASK_QUESTIONS, State
from flows.wording import Name, Numbered, Phrase
from scheduler.compose import Text
from service.clock import local_instant
from service.core.model import NewMessage, Reminder, keys_word
from service.db.queries.waiting import Waiting
from service.use_cases.hours import QUIET_FROM
from service.use_cases.texts import new_text
from service.use_cases.tools import Tools
from service.use_cases.wording_jobs import full, label

# Texts of a morning that is long past are spread, so that answers and gateway are not flooded at one moment.
SPREAD_MINUTES: Final = 120


@dataclass(frozen=True, kw_only=True, slots=True)
class Morning:
    """The local day that is merged.

    Attributes:
        zone: whose day it is.
        day: the day.
        now: the instant of merging.
        spread: whether texts that are late already are spread over two hours.
    """

    zone: str
    day: date
    now: datetime
    spread: bool

    def leaves_at(self, hour: int, phone_id: int) -> datetime:
        """Return when a text is to leave: at the farmer's hour, or as soon as may be when that is past."""
        wished = local_instant(self.day, hour, self.zone)
        if wished >= self.now:
            return wished
        return self.now + timedelta(minutes=phone_id % SPREAD_MINUTES if self.spread else 0)


def fits_one_part(tools: Tools, one: Waiting, reminders: Sequence[Reminder], day: date) -> bool:
    """Say whether a list of these jobs fits one part in its shorter wording."""
    phrase = _list(tools, one, reminders, day, "week_more")
    return parts(tools.wording.write(phrase, one.language)) == 1


def write(
    tools: Tools,
    one: Waiting,
    text: Text,
    by_key: Mapping[Hashable, Reminder],
    morning: Morning,
    *,
    more: bool,
) -> NewMessage:
    """Write one text: a single job goes with its full text, several go as a numbered list.

    `more` says whether jobs wait that did not fit, which the text then mentions.
    """
    jobs = [by_key[same[0].key] for same in text.jobs]
    phrase, state = _phrase(tools, one, jobs, morning.day, more=more)
    kind = "flowers_stay" if text.outside_cap else "reminder"
    message = new_text(
        tools,
        phrase,
        language=one.language,
        kind=kind,
        phone_id=one.phone_id,
        farmer_id=one.farmer_id,
        zone=morning.zone,
        day=morning.day,
        idem_key=f"{kind}:{one.farmer_id}:{jobs[0].key}",
        not_before=morning.leaves_at(one.text_hour, one.phone_id),
        opens={"state": state, "data": _question(state, text, by_key, morning.day)},
    )
    # A text goes no more once the last useful day of its jobs is over.
    last = max(each.useful_until for each in text.reminders)
    evening = local_instant(last, QUIET_FROM, morning.zone)
    return replace(message, expires_at=min(message.expires_at, evening))


def _phrase(
    tools: Tools, one: Waiting, jobs: Sequence[Reminder], day: date, *, more: bool
) -> tuple[Phrase, State]:
    if len(jobs) == 1:
        job = jobs[0]
        return full(tools, job, day, one.name, 1), TASK_QUESTIONS.get(job.key.task, State.JOBS)
    plain = _list(tools, one, jobs, day, "week")
    if not more and parts(tools.wording.write(plain, one.language)) == 1:
        return plain, State.JOBS
    return _list(tools, one, jobs, day, "week_more"), State.JOBS


def _list(tools: Tools, one: Waiting, reminders: Sequence[Reminder], day: date, text_id: str) -> Phrase:
    labels = Numbered(
        tuple((place, label(tools, each, day)) for place, each in enumerate(reminders, start=1))
    )
    return Phrase(text_id, {"name": Name(one.name), "jobs": labels})


def _question(state: State, text: Text, by_key: Mapping[Hashable, Reminder], day: date) -> dict[str, object]:
    if state is State.JOBS:
        return {}
    return {"job": keys_word(by_key[each.key].key for each in text.reminders), "on": day.isoformat()}
