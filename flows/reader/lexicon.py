"""The language packs joined into tables that answer in one look-up.

A farmer may use words of any language at any time, so the tables hold all of them; where two languages read
one word differently, the farmer's own language wins.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from itertools import product
from typing import Final

from flows.alarms import Harm
from flows.inputs import Unit
from flows.reader.asking_words import Asking, asking_words
from flows.reader.danger import Dangers
from flows.reader.money_lexicon import money_lexicon
from flows.reader.normalise import key_of
from flows.reader.opt_out_words import OptOutWords
from flows.reader.pack import Intent, NumberWords, Pack
from flows.reader.phrases import Phrases
from flows.reader.picking_lexicon import picking_lexicon
from flows.reader.time_words import pairs_of, time_words
from flows.reader.vessel_lexicon import vessel_lexicon
from flows.reader.vowels import by_consonants
from flows.reader.water_lexicon import water_lexicon
from flows.templates import TEMPLATES

# Never taken from a near word: too much hangs on them, and "shop" is one letter from "stop".
EXACT_ONLY: Final = frozenset(
    {
        *(Intent.STOP, Intent.CANCEL, Intent.YES, Intent.NO, Intent.UNDERSTOOD),
        *(Intent.PAUSE, Intent.ALERTS_ON, Intent.COUNTS, Intent.WARN, Intent.BASKET),
        # A word for falling water is a word for much else, one letter away.
        Intent.RAIN,
        # "Nimeuza" is one letter from having been bitten.
        *(Intent.SOLD, Intent.COST),
    }
)
# Below this many letters a near word is as often another word: "job" and "mob", "kazi" and "kali".
SHORTEST_NEAR: Final = 5


class Form(StrEnum):
    """How a word came to be a command."""

    MAIN = "main word"
    SYNONYM = "synonym"
    VERB = "verb form"
    SLIP = "listed slip"


@dataclass(frozen=True, kw_only=True, slots=True)
class Command:
    """A word that asks for something.

    Attributes:
        intent: what it asks for.
        word: the word in its compared form.
        language: the language it belongs to.
        form: how it came to be a command.
    """

    intent: Intent
    word: str
    language: str
    form: Form


class Lexicon:
    """All packs as one, the farmer's own language first."""

    def __init__(self, packs: Sequence[Pack]) -> None:
        """Join `packs` in order of preference."""
        self._packs = packs
        self.commands: Mapping[str, Command] = _commands(packs)
        self.numbers: tuple[NumberWords, ...] = tuple(pack.numbers for pack in packs)
        self.units = Phrases(
            (word, unit) for pack in packs for unit in Unit for word in getattr(pack.units, unit.value)
        )
        self.fractions = Phrases(pairs_of(packs, lambda pack: pack.numbers.fractions))
        self.less = Phrases(pairs_of(packs, lambda pack: pack.numbers.less))
        self.more = Phrases(pairs_of(packs, lambda pack: pack.numbers.more))
        self.joiners = self._list(lambda pack: pack.numbers.joiners)
        self.greetings = self._list(lambda pack: pack.talk.greetings)
        self.thanks = self._list(lambda pack: pack.talk.thanks)
        self.until = self._list(lambda pack: pack.dates.until)
        self.between = self._list(lambda pack: pack.talk.between)
        self.every = self._list(lambda pack: pack.talk.every)
        self.no_harvest = self._list(lambda pack: pack.talk.no_harvest)
        self.below = self._list(lambda pack: pack.numbers.below)
        self.function = self._list(lambda pack: pack.talk.function)
        self.negations = self._list(lambda pack: pack.talk.negations)
        self.questions = self._list(lambda pack: pack.talk.questions)
        self.introductions = self._list(lambda pack: pack.talk.introductions)
        self.plants = self._list(lambda pack: pack.talk.plants)
        self.containers = self._list(lambda pack: pack.talk.containers)
        self.harms = {harm: self._of_harm(harm) for harm in Harm}
        self.distress = self._spoken(lambda pack: pack.alarm.distress)
        self.spray_named = self._list(lambda pack: pack.spray.named)
        self.spray_beside = self._list(lambda pack: pack.spray.beside)
        self.no_spray = self._list(lambda pack: pack.spray.other)
        self.none = self._list(lambda pack: pack.picking.none)
        self.unsure = self._list(lambda pack: pack.spray.unsure)
        self.dangers = Dangers(packs)
        self.picking = self._spoken(_picking_words)
        self.fields = self._list(lambda pack: pack.picking.fields)
        self.other_goods = self._list(lambda pack: pack.picking.other)
        self.beside_picking = picking_lexicon(packs)
        self.picking_beside = self._list(lambda pack: pack.picking.beside)
        self.job_words = dict(pairs_of(packs, lambda pack: pack.job_words.same))
        self.job_forms = tuple(
            (start, name)
            for pack in packs
            for name, starts in (
                ("done", pack.job_words.done),
                ("not_yet", pack.job_words.not_yet),
                ("", pack.job_words.plain),
            )
            for start in starts
        )
        self.stop_fillers = self._list(lambda pack: pack.stop.fillers)
        self.opt_out = OptOutWords(packs)
        self.stop_angry = self._list(lambda pack: pack.stop.angry)
        self.phrases = Phrases(
            (phrase, (intent, pack.language))
            for pack in packs
            for intent, phrases in pack.phrases.items()
            for phrase in phrases
        )
        self.warnings = Phrases(
            (word, name) for pack in packs for name in TEMPLATES for word in getattr(pack.warnings, name)
        )
        self.water = water_lexicon(packs)
        self.vessels = vessel_lexicon(packs)
        self.money = money_lexicon(packs)
        self.languages = Phrases((word, pack.language) for pack in packs for word in pack.called)
        self.already = self._list(lambda pack: pack.already.words)
        self.verb_starts = tuple(
            subject + tense
            for pack in packs
            for subject, tense in product(pack.already.subjects, pack.already.tenses)
        )
        self.time = time_words(packs)

    def is_small(self, word: str) -> bool:
        """Return whether a word says nothing in an answer to one of our questions: "or", "please", "kama"."""
        small = (self.function, self.between, self.joiners, self.thanks, self.units)
        return any(word in words for words in small)

    @cached_property
    def near(self) -> Mapping[str, Command]:
        """The commands a near word may be taken for."""
        return {
            word: command
            for word, command in self.commands.items()
            if len(word) >= SHORTEST_NEAR
            and command.intent not in EXACT_ONLY
            and command.form is not Form.VERB
        }

    @cached_property
    def never_near(self) -> frozenset[str]:
        """The words that mean something of their own and are never taken for a near command."""
        known = [
            *(
                self.greetings,
                self.thanks,
                self.no_harvest,
                self.function,
                self.negations,
                self.questions,
                self.plants,
                self.containers,
            ),
            *(self.units, self.fractions, self.distress, *self.harms.values()),
            *vars(self.time).values(),
            self._list(lambda pack: pack.talk.reserved),
        ]
        numbers = (word for words in self.numbers for word in (*words.ones, *words.tens, *words.scales))
        return frozenset().union(*(phrases.words() for phrases in known), map(key_of, numbers))

    @cached_property
    def long_units(self) -> tuple[str, ...]:
        """The units that are known where they are glued to another word, the longest first."""
        known = (word for word in self.units.words() if len(word) > 1)
        return tuple(sorted(known, key=len, reverse=True))

    @cached_property
    def picking_bare(self) -> Mapping[str, Sequence[str]]:
        """The words that report a picking, by their consonants."""
        return by_consonants(self.picking.words())

    @cached_property
    def asking(self) -> Mapping[str, Asking]:
        """The questions that answers of ours settle, by name."""
        return asking_words(self._packs)

    @cached_property
    def asked_about(self) -> Phrases[None]:
        """What any of these questions is about: most texts are about none of it, and one look tells."""
        return self._list(
            lambda pack: [word for name in self.asking for word in getattr(pack.asking, name).about]
        )

    @cached_property
    def correcting(self) -> Phrases[None]:
        """What says that a weight is put right."""
        return self._list(lambda pack: pack.talk.correcting)

    def _list(self, entries: Callable[[Pack], Iterable[str]]) -> Phrases[None]:
        return Phrases((entry, None) for pack in self._packs for entry in entries(pack))

    def _of_harm(self, harm: Harm) -> Phrases[str]:
        return self._spoken(lambda pack: pack.alarm.harms.get(harm, ()))

    def _spoken(self, entries: Callable[[Pack], Iterable[str]]) -> Phrases[str]:
        """Return entries that mean the language they are said in."""
        return Phrases((entry, pack.language) for pack in self._packs for entry in entries(pack))


def _picking_words(pack: Pack) -> Iterable[str]:
    forms = product(pack.picking.subjects, pack.picking.tenses, pack.picking.roots)
    return (*pack.picking.words, *map("".join, forms))


def words_of(pack: Pack) -> list[Command]:
    """Return the commands of one pack, listed words before built verb forms and slips."""
    forms = [
        *((intent, word, Form.SYNONYM if place else Form.MAIN) for intent, place, word in _listed(pack)),
        *((intent, "".join(parts), Form.VERB) for intent, parts in _verb_parts(pack)),
        *((Intent.LANGUAGE, word, Form.SYNONYM) for word in pack.called),
        *((Intent.STOP, word, Form.SLIP) for word in pack.stop.misspelt),
    ]
    return [
        Command(intent=intent, word=key_of(word), language=pack.language, form=form)
        for intent, word, form in forms
    ]


def _listed(pack: Pack) -> list[tuple[Intent, int, str]]:
    return [
        (intent, place, word) for intent, words in pack.commands.items() for place, word in enumerate(words)
    ]


def _verb_parts(pack: Pack) -> list[tuple[Intent, tuple[str, ...]]]:
    verbs = pack.verbs
    return [
        (intent, parts)
        for intent, roots in verbs.roots.items()
        for parts in product(verbs.subjects, verbs.tenses, roots)
    ]


def _commands(packs: Sequence[Pack]) -> dict[str, Command]:
    found: dict[str, Command] = {}
    for pack in packs:
        for command in words_of(pack):
            found.setdefault(command.word, command)
    return found
