"""A word of our own question, sent back as its answer."""

from collections.abc import Iterable
from dataclasses import dataclass

from flows.reader.normalise import Kind
from flows.reader.scan import Scan


@dataclass(frozen=True, kw_only=True, slots=True)
class Offer:
    """One answer that an open question offers: its number, and the words it is called by but for small ones."""

    number: int
    words: frozenset[str]


def offered_whole(scan: Scan, offers: Iterable[Offer]) -> int | None:
    """Return the number of the one answer whose words are all that the text says."""
    said = _said(scan)
    return _only(offer.number for offer in _numbered(scan, offers) if offer.words == said)


def offered_part(scan: Scan, offers: Iterable[Offer]) -> int | None:
    """Return the number of the one answer of whose words the text says some, its negation not left out."""
    said = _said(scan)
    fitting = (offer for offer in _numbered(scan, offers) if said and said <= offer.words)
    return _only(offer.number for offer in fitting if _negated(scan, offer.words) <= said)


def _said(scan: Scan) -> frozenset[str]:
    words = (token.key for token in scan.tokens if token.kind is Kind.WORD)
    return frozenset(word for word in words if not scan.lexicon.is_small(word))


def _numbered(scan: Scan, offers: Iterable[Offer]) -> Iterable[Offer]:
    """Return the answers that the figures of the text allow: "4 need help" is no other than the fourth."""
    figures = [token.key for token in scan.tokens if token.kind not in {Kind.WORD, Kind.QUESTION}]
    return () if scan.question else [offer for offer in offers if figures in ([], [str(offer.number)])]


def _negated(scan: Scan, words: frozenset[str]) -> frozenset[str]:
    return frozenset(word for word in words if word in scan.lexicon.negations)


def _only(numbers: Iterable[int]) -> int | None:
    found = set(numbers)
    return found.pop() if len(found) == 1 else None
