"""Whose name stands in a text."""

from collections.abc import Sequence

from flows.facts import Farmer
from flows.reader.normalise import key_of, plain, tokens
from flows.titles import TITLES


def named_in(text: str, farmers: Sequence[Farmer]) -> Farmer | None:
    """Return the farmer whose first name stands in a text, None where it is nobody's or more than one's."""
    said = frozenset(token.key for token in tokens(plain(text)))
    named = [farmer for farmer in farmers if first_name(farmer) in said]
    return named[0] if len(named) == 1 else None


def first_name(farmer: Farmer) -> str:
    """Return the first word of a name that is no title, in the form in which words are compared."""
    words = [key_of(word) for word in farmer.name.split()]
    return next((word for word in words if word not in TITLES), words[0] if words else "")
