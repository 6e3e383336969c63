"""From what was decided for a farmer's day to the text that leaves: its words, its hour and its question."""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from flows.alphabet import parts
from flows.states import TASK_QUESTIONS, State
from flows.wording import Name, Numbered, Phrase
from scheduler.compose import OpenReminder, Text
from scheduler.eve import PARTS, Eve, asks_about, numbered
from service.clock import local_instant
from service.core.experiments import Arm, Experiment
from service.core.model import NewMessage, Reminder, keys_word
from service.db.queries.waiting import Waiting
from service.use_cases.collecting.following import ASKED_AT
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
        experiments: those in which texts of this day are told apart.
    """

    zone: str
    day: date
    now: datetime
    spread: bool
    experiments: tuple[Experiment, ...] = ()

    def leaves_at(self, hour: int, phone_id: int) -> datetime:
        """Return when a text is to leave: at the farmer's hour, or as soon as may be when that is past."""
        wished = local_instant(self.day, hour, self.zone)
        if wished >= self.now:
            return wished
        return self.now + timedelta(minutes=phone_id % SPREAD_MINUTES if self.spread else 0)


class Hand:
    """Writes one farmer's texts of one morning; a job that several lists are tried with is worded once."""

    def __init__(
        self,
        tools: Tools,
        one: Waiting,
        by_key: Mapping[Hashable, Reminder],
        morning: Morning,
        eve: Eve | None = None,
    ) -> None:
        """Write for `one`, whose reminders `compose` knows by the keys of `by_key`; `eve` is that of a collection."""
        self._tools = tools
        self._one = one
        self._by_key = by_key
        self._morning = morning
        self._eve = eve
        self._name = str(Name(one.name))
        # Each text that is tried in two wordings: the one this farmer gets, and what the message carries.
        self._tried = {
            first: _wording(experiment, one.farmer_id, first)
            for experiment in morning.experiments
            for first in experiment.second_wordings
        }
        self._labels: dict[Hashable, str] = {}

    def fits(self, jobs: Sequence[OpenReminder]) -> bool:
        """Say whether a list of these jobs fits one part in its shorter wording."""
        if self._eve is not None and asks_about(self._eve, jobs):
            return self._parts(self._beside(self._eve, [[job] for job in jobs])) <= PARTS
        return self._is_one_part(self._list([job.key for job in jobs], "week_more"))

    def write(self, text: Text, *, more: bool) -> NewMessage:
        """Write one text: a single job goes with its full text, several go as a numbered list.

        `more` says whether jobs wait that did not fit, which the text then mentions.
        """
        if self._eve is not None and asks_about(self._eve, text.reminders):
            return self._ask(self._eve, text)
        one, morning = self._one, self._morning
        keys = [same[0].key for same in text.jobs]
        phrase, state, arm = self._phrase(keys, more=more)
        kind = "flowers_stay" if text.outside_cap else "reminder"
        # A text goes no more once the last useful day of its jobs is over.
        last = max(each.useful_until for each in text.reminders)
        return new_text(
            self._tools,
            phrase,
            language=one.language,
            kind=kind,
            phone_id=one.phone_id,
            farmer_id=one.farmer_id,
            zone=morning.zone,
            day=morning.day,
            idem_key=f"{kind}:{one.farmer_id}:{self._by_key[keys[0]].key}",
            not_before=morning.leaves_at(one.text_hour, one.phone_id),
            until=local_instant(last, QUIET_FROM, morning.zone),
            opens={"state": state, "data": self._question(state, text)},
            arm=arm,
        )

    def _ask(self, eve: Eve, text: Text) -> NewMessage:
        """Write the text that asks what will come to a collection."""
        one, morning = self._one, self._morning
        return new_text(
            self._tools,
            self._beside(eve, text.jobs),
            language=one.language,
            kind="reminder",
            phone_id=one.phone_id,
            farmer_id=one.farmer_id,
            zone=morning.zone,
            day=morning.day,
            idem_key=f"reminder:{one.farmer_id}:{self._by_key[text.reminders[0].key].key}",
            not_before=morning.leaves_at(ASKED_AT, one.phone_id),
            until=eve.ends_at(morning.zone),
            opens=eve.opens(jobs=len(text.jobs) > 1),
        )

    def _beside(self, eve: Eve, jobs: Sequence[Sequence[OpenReminder]]) -> Phrase:
        """Return the text of an evening, the other jobs beside the question."""
        places = numbered(jobs)
        return eve.phrase(
            [
                (places[same[0].task_id], self._label(same[0].key))
                for same in jobs
                if same[0].task_id in places
            ]
        )

    def _phrase(self, keys: Sequence[Hashable], *, more: bool) -> tuple[Phrase, State, str | None]:
        if len(keys) == 1:
            job = self._by_key[keys[0]]
            state = TASK_QUESTIONS.get(job.key.task, State.JOBS)
            return full(self._tools, job, self._morning.day, self._one.name, 1), state, None
        if not more:
            plain = self._list(keys, "week")
            if self._is_one_part(plain):
                return plain, State.JOBS, self._arm("week")
        return self._list(keys, "week_more"), State.JOBS, self._arm("week_more")

    def _arm(self, first: str) -> str | None:
        return self._tried[first][1] if first in self._tried else None

    def _list(self, keys: Sequence[Hashable], first: str) -> Phrase:
        text_id = self._tried[first][0] if first in self._tried else first
        labels = Numbered(tuple((place, self._label(key)) for place, key in enumerate(keys, start=1)))
        return Phrase(text_id, {"name": self._name, "jobs": labels})

    def _label(self, key: Hashable) -> str:
        if key not in self._labels:
            phrase = label(self._tools, self._by_key[key], self._morning.day)
            self._labels[key] = self._tools.wording.write(phrase, self._one.language)
        return self._labels[key]

    def _is_one_part(self, phrase: Phrase) -> bool:
        return self._parts(phrase) == 1

    def _parts(self, phrase: Phrase) -> int:
        return parts(self._tools.wording.write(phrase, self._one.language))

    def _question(self, state: State, text: Text) -> dict[str, object]:
        if state is State.JOBS:
            return {}
        job = keys_word(self._by_key[each.key].key for each in text.reminders)
        return {"job": job, "on": self._morning.day.isoformat()}


def _wording(experiment: Experiment, farmer_id: int, first: str) -> tuple[str, str]:
    """Return the wording of a text that a farmer gets while it is tried, and what marks its arm."""
    arm = experiment.arm_of(farmer_id)
    text_id = first if arm is Arm.FIRST else experiment.second_wordings[first]
    return text_id, experiment.mark(arm)
