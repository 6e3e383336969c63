"""An alert: an officer's message to districts, whom it is for, and the figures it is told by."""

import hashlib
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from enum import StrEnum
from typing import Any, Final

from service.core.alert_states import AlertState


class Excluded(StrEnum):
    """Why a phone of the audience gets no text; of several reasons the first counts."""

    STOPPED = "stopped"
    PENDING = "pending"
    PAUSED = "paused"
    ALERTS_OFF = "alerts_off"
    ONE_A_DAY = "one_a_day"
    NO_WORDS = "no_words"


EXCLUDED_WORDS: Final[Mapping[str, str]] = {
    Excluded.STOPPED: "have stopped all texts",
    Excluded.PENDING: "have not agreed to texts yet",
    Excluded.PAUSED: "have paused their texts",
    Excluded.ALERTS_OFF: "take no alerts",
    Excluded.ONE_A_DAY: "get another alert that day",
    Excluded.NO_WORDS: "read a language it has no words in",
}


class Answer(StrEnum):
    """What a farmer texted back."""

    UNDERSTOOD = "understood"
    NEED_HELP = "need_help"


@dataclass(frozen=True, kw_only=True, slots=True)
class Audience:
    """Whom an alert is for: all of `districts`, narrowed by what else is given.

    Attributes:
        districts: ids; never empty in an alert that is kept.
        villages: ids, empty for all.
        groups: ids, empty for all.
        languages: empty for all.
        metres_from: plots, or else their district, at least so high above the sea.
        metres_below: and lower than this.
        age_from: farmers with a live plot planted at least so many days ago.
        age_below: and fewer than this.
    """

    districts: frozenset[int]
    villages: frozenset[int] = frozenset()
    groups: frozenset[int] = frozenset()
    languages: frozenset[str] = frozenset()
    metres_from: int | None = None
    metres_below: int | None = None
    age_from: int | None = None
    age_below: int | None = None

    def as_json(self) -> dict[str, object]:
        """Return plain values for the database."""
        return {
            "districts": sorted(self.districts),
            "villages": sorted(self.villages),
            "groups": sorted(self.groups),
            "languages": sorted(self.languages),
            "metres_from": self.metres_from,
            "metres_below": self.metres_below,
            "age_from": self.age_from,
            "age_below": self.age_below,
        }

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> "Audience":
        """Return what `as_json` wrote."""
        values: dict[str, Any] = {
            name: frozenset(value) if isinstance(value, list) else value for name, value in kept.items()
        }
        return cls(**values)


@dataclass(frozen=True, kw_only=True, slots=True)
class AlertText:
    """An alert in one language, as it leaves; its digest is what was approved."""

    language: str
    text: str
    parts: int
    digest: bytes

    @property
    def unchanged(self) -> bool:
        """Return whether the text is still the one that the digest was taken of."""
        return self.digest == text_digest(self.text)


def text_digest(text: str) -> bytes:
    """Return the SHA-256 digest of a text (FIPS 180-4)."""
    return hashlib.sha256(text.encode()).digest()


@dataclass(frozen=True, kw_only=True, slots=True)
class Alert:
    """An alert as it is kept.

    Attributes:
        template: the pre-approved text it was made of; None for words of the officer's own.
        values: what the template or the form was filled with, to write it anew.
        kind: the message kind of its texts.
        why: why it ended, or waits, where that is not plain from its state.
        anyway: why it also goes to phones that get another alert that day; None if it does not.
    """

    id: int
    idem_key: str
    officer_id: int
    template: str | None
    kind: str
    values: Mapping[str, object]
    audience: Audience
    state: AlertState
    made_at: datetime
    confirmed_at: datetime | None
    approved_by: int | None
    approved_at: datetime | None
    waits_until: datetime | None
    send_at: datetime
    useless_after: datetime
    ended_at: datetime | None
    why: str | None
    anyway: str | None
    texts: tuple[AlertText, ...]

    @property
    def on(self) -> date | None:
        """The day its template speaks of."""
        kept = self.values.get("on")
        return date.fromisoformat(str(kept)) if kept else None

    @property
    def late(self) -> bool:
        """Whether its text is the one for a night that has begun."""
        return bool(self.values.get("late"))

    @property
    def digest(self) -> str:
        """Return one word for all its texts: what a confirmation or an approval was given to."""
        whole = b"".join(text.language.encode() + text.digest for text in self.texts)
        return hashlib.sha256(whole).hexdigest()


@dataclass(frozen=True, kw_only=True, slots=True)
class Share:
    """How many phones and farmers of an audience would be, or are, texted in one language."""

    language: str
    phones: int
    farmers: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Reach:
    """Whom an audience holds, by phones: those who are texted by language, the others by reason.

    Attributes:
        held: those whom nothing but another alert of that day excludes, as they would be texted without it.
        no_phone: farmers of the audience who have no phone for texts; they are in none of the other figures.
    """

    shares: tuple[Share, ...]
    excluded: Mapping[str, int]
    held: tuple[Share, ...] = ()
    no_phone: int

    @property
    def phones(self) -> int:
        """How many phones are texted."""
        return sum(share.phones for share in self.shares)

    @property
    def farmers(self) -> int:
        """How many farmers those phones speak for."""
        return sum(share.farmers for share in self.shares)

    @property
    def audience(self) -> int:
        """How many phones there are in all, texted or not."""
        return self.phones + sum(self.excluded.values())

    @property
    def held_phones(self) -> int:
        """How many phones only another alert of that day excludes."""
        return sum(share.phones for share in self.held)

    def anyway(self) -> "Reach":
        """Return whom it holds if other alerts of that day exclude nobody."""
        return replace(
            self,
            shares=_together((*self.shares, *self.held)),
            excluded={why: phones for why, phones in self.excluded.items() if why != Excluded.ONE_A_DAY},
            held=(),
        )

    def worded(self, languages: Collection[str]) -> "Reach":
        """Return whom it reaches with words in these languages alone: the others are excluded."""
        without = sum(share.phones for share in self.shares if share.language not in languages)
        return replace(
            self,
            shares=tuple(share for share in self.shares if share.language in languages),
            excluded={**self.excluded, Excluded.NO_WORDS.value: without} if without else self.excluded,
            held=tuple(share for share in self.held if share.language in languages),
        )


def _together(shares: Iterable[Share]) -> tuple[Share, ...]:
    """Add up shares of one language."""
    sums: dict[str, tuple[int, int]] = {}
    for share in shares:
        phones, farmers = sums.get(share.language, (0, 0))
        sums[share.language] = (phones + share.phones, farmers + share.farmers)
    return tuple(
        Share(language=language, phones=phones, farmers=farmers)
        for language, (phones, farmers) in sorted(sums.items())
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class Count:
    """How an alert goes, in phones. The sums hold at every moment: each phone stands in exactly one figure.

    Attributes:
        waiting: not sent yet and still to be.
        failed: never left or never arrived, as far as is known.
        not_again: those of the doubts that are not sent again, as the phone has stopped or takes no more alerts.
        answers: phones by what they texted back.
    """

    audience: int = 0
    waiting: int = 0
    sent: int = 0
    delivered: int = 0
    failed: int = 0
    cancelled: int = 0
    in_doubt: int = 0
    not_again: int = 0
    excluded: Mapping[str, int] = field(default_factory=dict)
    answers: Mapping[str, int] = field(default_factory=dict)

    @property
    def left_out(self) -> int:
        """How many phones were excluded."""
        return sum(self.excluded.values())


@dataclass(frozen=True, kw_only=True, slots=True)
class AlertRules:
    """What a programme has settled for its alerts; from its settings.

    Attributes:
        wait: how long after it was confirmed an alert waits, so that it can be called off before any of it leaves.
        second_person_above: an officer's own words to more phones than this need a second person.
        per_second: how many texts leave in a second.
    """

    wait: timedelta = timedelta(minutes=2)
    second_person_above: int = 200
    per_second: float = 10.0


AS_SHIPPED: Final = AlertRules()
