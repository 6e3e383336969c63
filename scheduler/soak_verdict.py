"""The verdict on a soak: the service's books held against the other side's own journal."""

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final

from scheduler.soak_peer import Taken
from service.core.alerts import Count
from service.core.kinds import NEVER_LEFT, SENT
from service.db.alert_books import Booked

# What may not be, and how it is told; each is a figure that has to be 0.
_SENTENCES: Final = {
    "damage": "The database is damaged.",
    "kills_missing": "The alert was through before all kills had happened.",
    "not_ended": "The alert has not come to its end.",
    "unsettled": "Sent, failed, cancelled and in doubt do not add up to the audience.",
    "superfluous": "There are more texts than phones.",
    "lost": "Texts count as sent that the other side never took.",
    "denied": "Texts count as cancelled or failed that the other side took.",
    "strange": "The other side took texts that the books do not know.",
    "untold": "Texts were taken more often than they were in doubt.",
}
_ABOUT_JOURNAL: Final = ("lost", "denied", "strange", "untold")


@dataclass(frozen=True, kw_only=True, slots=True)
class Books:
    """What the service says.

    Attributes:
        count: how its pages tell how the alert went.
        ended: whether the alert has come to its end.
        texts: all texts of it.
        damage: what is broken in the database, None if it is whole.
        kills_missing: how many kills could not happen.
    """

    count: Count
    ended: bool
    texts: Sequence[Booked]
    damage: str | None = None
    kills_missing: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Verdict:
    """What came of it; see `scheduler.soak.Figures`."""

    count: Count
    duplicated: int
    lost: int
    doubts: int
    journal_agrees: bool
    mistakes: tuple[str, ...]


def judge(books: Books, taken: Sequence[Taken]) -> Verdict:
    """Hold the books against what the other side took."""
    copies = Counter(one.our_ref for one in taken)
    count = books.count
    duplicated = len(taken) - len({one.destination for one in taken})
    doubts = sum(text.doubts for text in books.texts)
    ours = frozenset[str]().union(*(text.references for text in books.texts))
    found = {
        "damage": int(books.damage is not None),
        "kills_missing": books.kills_missing,
        "not_ended": int(not books.ended and not count.in_doubt),
        "unsettled": count.audience - (count.sent + count.failed + count.cancelled + count.in_doubt),
        "superfluous": max(0, len(books.texts) - count.audience),
        "lost": sum(text.state in SENT and not _times(text.references, copies) for text in books.texts),
        "denied": sum(
            text.state in NEVER_LEFT and _times(text.references, copies) > 0 for text in books.texts
        ),
        "strange": sum(one.our_ref not in ours for one in taken),
        "untold": sum(_times(text.references, copies) - 1 > text.doubts for text in books.texts)
        + max(0, duplicated - doubts),
    }
    return Verdict(
        count=count,
        duplicated=duplicated,
        lost=found["lost"],
        doubts=doubts,
        journal_agrees=not any(found[name] for name in _ABOUT_JOURNAL),
        mistakes=tuple(f"{_SENTENCES[name]} ({figure})" for name, figure in found.items() if figure),
    )


def _times(references: Collection[str], copies: Counter[str]) -> int:
    """Return how often the other side took a text, under whichever of its references."""
    return sum(copies[reference] for reference in references)
