"""What our questions offer: each answer's number with the words that stand behind it in the question's own text.

A farmer who sends the word instead of the number has answered as well. The words are taken from the catalogues, so
that a reworded question, or one in a further language, needs nothing here.
"""

import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Final

from flows.catalogue import Entry, read_catalogues
from flows.reader.lexicon import Lexicon
from flows.reader.normalise import Kind, tokens
from flows.reader.offered import Offer
from flows.reader.packs import Packs
from flows.states import Conversation, State
from flows.templates import TEMPLATES

_WARNINGS: Final = tuple(text_id for one in TEMPLATES.values() for text_id in one.text_ids)
# The texts that put each question. What offers only yes and no is not here: those are words of their own.
QUESTIONS: Final[Mapping[State, tuple[str, ...]]] = {
    State.SCOUT: ("scout_ask", "task.scout.text"),
    State.FLOWERS_STAY: ("task.flowers_stay.text",),
    State.KILOS: ("ask_kilos",),
    State.UNUSUAL: ("unusual_kg", "unusual_kg_slip_one", "unusual_kg_slip"),
    State.ZERO: ("zero_kg",),
    State.AGAIN: ("harvest_again", "choose_1_2_3"),
    State.SALE_WORTH: ("sale_worth",),
    State.SALE_SAME: ("sale_same",),
    State.COST_KIND: ("cost_kind",),
    State.STOP_OR_UNDO: ("stop_or_undo", "stop_sure"),
    State.MENU: ("not_understood",),
    State.NUDGE: ("nudge",),
    State.ALERT: (
        *_WARNINGS,
        "alert.free_ask",
        "alert_unclear",
    ),
    State.DAYS: ("days_ask", "days_ask_quiet"),
    State.DETAILS: ("details_ask",),
    State.RECORDS: ("records_ask",),
    State.ERASE: ("erase_ask",),
    State.WRONG_NUMBER: ("wrong_number_ask",),
}

_SENTENCE_END: Final = re.compile(r"[.?!](?=\s|$)")
# A value, or a remark in brackets, is no part of what an answer is called.
_BESIDE: Final = re.compile(r"\{[a-z0-9_]+\}|\([^)]*\)|\"")


class Offers:
    """The answers that each question offers, in every language."""

    def __init__(self, catalogues: Mapping[str, Mapping[str, Entry]], packs: Packs) -> None:
        """Read them from the texts in `catalogues`."""
        self._offers = {
            text_id: tuple(
                offer
                for language, entries in catalogues.items()
                for offer in offers_in(entries[text_id].text, packs.lexicon(language))
            )
            for text_ids in QUESTIONS.values()
            for text_id in text_ids
        }

    def of(self, talk: Conversation) -> tuple[Offer, ...]:
        """Return what the open question offers; nothing where its answers are no words of ours."""
        text_ids, choices = QUESTIONS.get(talk.state, ()), talk.data.get("choices")
        # Where weights are offered, "none" has another number in the text for one, for two and for three of them.
        count = len(choices) if isinstance(choices, list) and len(text_ids) > 1 else None
        asked = text_ids if count is None else text_ids[count - 1 : count]
        return tuple(offer for text_id in asked for offer in self._offers[text_id])


@cache
def load_offers(packs: Packs) -> Offers:
    """Return what the texts that come with this package offer; they are read once."""
    return Offers(read_catalogues(), packs)


def offers_in(text: str, lexicon: Lexicon) -> Iterator[Offer]:
    """Return the answers that a text offers as "1 this 2 that"."""
    for sentence in _SENTENCE_END.split(_BESIDE.sub(" ", text)):
        number: int | None = None
        words: set[str] = set()
        for token in tokens(sentence):
            if token.kind is Kind.WORD:
                words.add(token.key)
                continue
            yield from _offer(number, words, lexicon)
            number = int(token.key) if token.kind is Kind.DIGITS and len(token.key) == 1 else None
            words = set()
        yield from _offer(number, words, lexicon)


def _offer(number: int | None, words: set[str], lexicon: Lexicon) -> Iterator[Offer]:
    kept = frozenset(word for word in words if not lexicon.is_small(word))
    if number is not None and kept:
        yield Offer(number=number, words=kept)
