"""Texts at their longest: each placeholder holds the longest value it can be given in that language."""

from collections.abc import Mapping

from flows.catalogue import Entry, fill
from flows.placeholders import PLACEHOLDERS
from flows.promised import Filling, Longest, Text
from flows.texts import TEXTS


def longest_of(
    text_id: str,
    entries: Mapping[str, Entry],
    texts: Mapping[str, Text] = TEXTS,
) -> str:
    """Return the text with each placeholder at its longest, in the language of `entries`."""
    fillings = {**PLACEHOLDERS, **texts[text_id].longest}
    values = {
        name: _filling(fillings.get(name, ""), entries, texts) for name in entries[text_id].placeholders
    }
    return fill(entries[text_id].text, values)


def _filling(filling: Filling, entries: Mapping[str, Entry], texts: Mapping[str, Text]) -> str:
    if isinstance(filling, str):
        return filling
    covered = (text_id for text_id in texts if text_id in entries and filling.covers(text_id))
    longest = sorted((longest_of(text_id, entries, texts) for text_id in covered), key=len, reverse=True)
    return _listed(filling, longest[: filling.most])


def _listed(filling: Longest, chosen: list[str]) -> str:
    if filling.most == 1:
        return "".join(chosen)
    if filling.between is not None:
        return filling.between.join(chosen)
    return " ".join(f"{place} {words}" for place, words in enumerate(chosen, start=1))
