"""The figures in the names and units under which Prometheus collects them; each help text says what it is.

All come from the database at the moment of asking, so they are the same whichever process is asked, and there is
nothing to lose when one ends. Ages and counts are gauges; nothing here counts up for ever.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from math import ceil
from typing import Final

from prometheus_client.core import GaugeMetricFamily, Metric
from prometheus_client.registry import Collector

from flows.effects import Urgency
from service.core.kinds import PRIORITIES, SENT, MessageState
from service.db.queries.metering import Metered, Waiting
from service.use_cases.holding import Hold, HoldReason

_PREFIX: Final = "trussline_"
QUANTILES: Final = (0.5, 0.95, 0.99)
_THROTTLED: Final = "refused_pace"


@dataclass(frozen=True, kw_only=True, slots=True)
class Seen:
    """What is measured at one moment; `now` is service time, all other instants are real time.

    Attributes:
        metered: the figures of the database.
        worker_seen: when the worker last ticked.
        backup_proved: when a backup was last put back or tried.
        hold: why texts wait, if they do.
        cap_day: parts that may be pushed in a day.
        free_bytes: room on the disk of the database.
    """

    metered: Metered
    now: datetime
    real_now: datetime
    worker_seen: datetime | None
    backup_proved: datetime | None
    hold: Hold | None
    cap_day: int
    free_bytes: int


class Figures(Collector):
    """Hands over what was measured."""

    def __init__(self, seen: Seen) -> None:
        """Hand over `seen`."""
        self._seen = seen

    def collect(self) -> Iterator[Metric]:
        """Yield each figure."""
        yield from self._queues()
        yield from self._questions()
        yield from self._texts()
        yield from self._tries()
        yield from self._service()

    def _queues(self) -> Iterator[Metric]:
        metered, now = self._seen.metered, self._seen.now
        waiting = {
            str(priority): metered.queues.get(priority, Waiting(since=None, count=0))
            for priority in PRIORITIES
        }
        yield _labelled(
            "queue_texts", "Texts whose time has come and that wait, by priority, 0 the most urgent.", "priority",
            {name: one.count for name, one in waiting.items()},
        )  # fmt: skip
        yield _labelled(
            "queue_age_seconds", "How long the oldest of them has waited.", "priority",
            {name: _age(one.since, now) for name, one in waiting.items()},
        )  # fmt: skip
        for name, one, what in (
            ("doubt", metered.doubts, "Texts of which nobody knows whether they were sent."),
            ("unread", metered.unread, "Texts that came in and are not read yet."),
        ):
            yield _plain(f"{name}_texts", what, one.count)
            yield _plain(
                f"{name}_age_seconds", "How long the oldest of them has waited.", _age(one.since, now)
            )

    def _questions(self) -> Iterator[Metric]:
        nothing = Waiting(since=None, count=0)
        waiting = {one.value: self._seen.metered.questions.get(one.value, nothing) for one in Urgency}
        yield _labelled(
            "questions", "Questions and calls for help that wait for a person.", "urgency",
            {name: one.count for name, one in waiting.items()},
        )  # fmt: skip
        yield _labelled(
            "question_age_seconds", "How long the oldest of them has waited.", "urgency",
            {name: _age(one.since, self._seen.now) for name, one in waiting.items()},
        )  # fmt: skip

    def _texts(self) -> Iterator[Metric]:
        texts = self._seen.metered.texts
        yield _labelled(
            "texts", "Texts of today and yesterday, by the state they stand in.", "state",
            {state.value: texts.get(state.value, 0) for state in MessageState},
        )  # fmt: skip
        sent = sum(texts.get(state.value, 0) for state in SENT)
        if sent:
            delivered = texts.get(MessageState.DELIVERED.value, 0)
            yield _plain(
                "receipts_ratio", "Of the texts sent today and yesterday, the share with a receipt that says delivered.",
                delivered / sent,
            )  # fmt: skip
        yield _labelled(
            "reminders",
            "Reminders due today, by the state they stand in.",
            "state",
            self._seen.metered.reminders,
        )

    def _tries(self) -> Iterator[Metric]:
        metered = self._seen.metered
        tries = sum(metered.outcomes.values())
        yield _labelled(
            "tries",
            "Tries at sending in the last five minutes, by what came of them.",
            "outcome",
            metered.outcomes,
        )
        if tries:
            yield _plain(
                "throttled_ratio", "The share of those tries that the network refused for their pace.",
                metered.outcomes.get(_THROTTLED, 0) / tries,
            )  # fmt: skip
            yield _labelled(
                "submit_seconds", "How long those tries took from the claim to the answer.", "quantile",
                {str(quantile): metered.seconds[ceil(quantile * tries) - 1] for quantile in QUANTILES},
            )  # fmt: skip

    def _service(self) -> Iterator[Metric]:
        seen = self._seen
        for name, instant, what in (
            (
                "worker_seen_age_seconds",
                seen.worker_seen,
                "How long ago the worker last ticked; it does twice a minute.",
            ),
            (
                "backup_proved_age_seconds",
                seen.backup_proved,
                "How long ago a backup was last put back or tried.",
            ),
        ):
            if instant is not None:
                yield _plain(name, what, _age(instant, seen.real_now))
        yield _labelled(
            "hold", "Whether texts wait, by why they do.", "reason",
            {reason.value: int(seen.hold is not None and seen.hold.reason is reason) for reason in HoldReason},
        )  # fmt: skip
        purse = seen.metered.purse
        yield _labelled(
            "budget_parts", "Parts of texts of today's budget: under way, paid, and the most there may be.", "what",
            {"reserved": purse.reserved, "spent": purse.spent, "cap": seen.cap_day},
        )  # fmt: skip
        yield _plain("disk_free_bytes", "Room on the disk that the database lies on.", seen.free_bytes)


def _age(since: datetime | None, now: datetime) -> float:
    return max((now - since).total_seconds(), 0.0) if since else 0.0


def _plain(name: str, what: str, value: float) -> Metric:
    return GaugeMetricFamily(_PREFIX + name, what, value=value)


def _labelled(name: str, what: str, label: str, values: Mapping[str, float]) -> Metric:
    family = GaugeMetricFamily(_PREFIX + name, what, labels=[label])
    for key, value in values.items():
        family.add_metric([key], value)
    return family
