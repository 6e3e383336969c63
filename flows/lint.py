"""What must hold of every text in every language, checked before anything is sent.

`lint` looks at catalogues as data and returns what it finds. Nothing found means that each text is there,
fits its parts at its longest, stays in the cheap alphabet, names only commands that work, and calls nothing
harmless. Spelling is not looked at: word lists lack what a grower needs, and a speaker reads every text.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from flows.alphabet import culprits, fold, room
from flows.catalogue import DEFAULT_LANGUAGE, Entry
from flows.lint_words import EMPHASIS, REFUSED, SAME_SENSE, WHOLE_TEXT_ONLY
from flows.longest import longest_of
from flows.placeholders import PLACEHOLDERS
from flows.promised import Kind, Rule, Text
from flows.texts import TEXTS

# Short enough to be read out to somebody who does not read.
MOST_SENTENCES: Final = 3
MOST_WORDS: Final = 28

_CAPITALS: Final = re.compile(r"\b[A-Z]{2,}\b")
_WORD: Final = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)*")
_SENTENCE_END: Final = re.compile(r"[.?!](?=\s|$)")
_BRACES: Final = re.compile(r"[{}]")
_PLACE: Final = re.compile(r"\{[a-z][a-z0-9_]*\}")


@dataclass(frozen=True, kw_only=True, slots=True)
class Finding:
    """One thing that is wrong with one text."""

    rule: Rule
    language: str
    text_id: str
    matter: str

    def __str__(self) -> str:
        """Return the finding as one line."""
        return f"{self.language} {self.text_id}: {self.matter} [{self.rule}]"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Case:
    """One text in one language, with all that is needed to judge it."""

    language: str
    entry: Entry
    source: Entry
    promised: Text
    longest: str
    works: frozenset[str]
    taught: frozenset[str]


def lint(
    catalogues: Mapping[str, Mapping[str, Entry]],
    works: Mapping[str, frozenset[str]],
    texts: Mapping[str, Text] = TEXTS,
) -> list[Finding]:
    """Return what is wrong with `catalogues`, entries by language and id.

    `works` has, by language, the command words in capitals that the reader understands.
    """
    findings: list[Finding] = []
    needed: set[tuple[str, Rule]] = set()
    for language, entries in catalogues.items():
        findings.extend(_missing(language, entries, texts))
        for text_id, case in _cases(language, catalogues, works, texts):
            for rule, matter in _matters(case):
                if rule in case.promised.waived:
                    needed.add((text_id, rule))
                else:
                    findings.append(Finding(rule=rule, language=language, text_id=text_id, matter=matter))
    return findings + list(_needless(texts, needed))


def _missing(language: str, entries: Mapping[str, Entry], texts: Mapping[str, Text]) -> Iterator[Finding]:
    matters = {
        "has no entry": texts.keys() - entries.keys(),
        "is not in TEXTS": entries.keys() - texts.keys(),
    }
    for matter, ids in matters.items():
        for text_id in sorted(ids):
            yield Finding(rule=Rule.COMPLETE, language=language, text_id=text_id, matter=matter)


def _cases(
    language: str,
    catalogues: Mapping[str, Mapping[str, Entry]],
    works: Mapping[str, frozenset[str]],
    texts: Mapping[str, Text],
) -> Iterator[tuple[str, _Case]]:
    entries = catalogues[language]
    known = works.get(language, frozenset())
    taught = {word for entry in entries.values() for word in _capitals(entry.text, known)}
    for text_id, entry in entries.items():
        if text_id in texts:
            yield (
                text_id,
                _Case(
                    language=language,
                    entry=entry,
                    source=catalogues[DEFAULT_LANGUAGE].get(text_id, entry),
                    promised=texts[text_id],
                    longest=longest_of(text_id, entries, texts),
                    works=known,
                    taught=known & taught,
                ),
            )


def _matters(case: _Case) -> Iterator[tuple[Rule, str]]:
    for rule, check in _CHECKS.items():
        for matter in check(case):
            yield rule, matter


def _needless(texts: Mapping[str, Text], needed: set[tuple[str, Rule]]) -> Iterator[Finding]:
    for text_id, text in texts.items():
        for rule in text.waived:
            if (text_id, rule) not in needed:
                matter = f"waives {rule} without need"
                yield Finding(rule=Rule.WAIVERS, language="-", text_id=text_id, matter=matter)


def _alphabet(case: _Case) -> Iterator[str]:
    if unfit := culprits(case.longest):
        yield f"{' '.join(unfit)} would more than double its cost; fitting: {fold(case.entry.text)!r}"


def _length(case: _Case) -> Iterator[str]:
    used, at_most = room(case.longest), case.promised.at_most
    if at_most is not None and used.units > at_most:
        yield f"{used.units} units of {used.alphabet} at its longest, {at_most} are allowed"
    if used.parts > case.promised.parts:
        yield f"{used.units} units of {used.alphabet} at its longest are {used.parts} parts"


def _placeholders(case: _Case) -> Iterator[str]:
    stands, promised = case.entry.placeholders, case.promised.placeholders
    if stands != promised:
        yield f"has {sorted(stands)}, is given {sorted(promised)}"
    for name in sorted(stands - PLACEHOLDERS.keys()):
        yield f"nobody has said how long {{{name}}} can become"
    if _BRACES.search(_PLACE.sub("", case.entry.text)):
        yield "a brace that belongs to no placeholder"


def _translated(case: _Case) -> Iterator[str]:
    if not case.entry.text.strip():
        yield "is not translated"
    elif "fuzzy" in case.entry.flags:
        yield "is marked fuzzy"
    elif case.language != DEFAULT_LANGUAGE and case.entry.text == case.source.text:
        yield "is the same as in English"


def _commands(case: _Case) -> Iterator[str]:
    known = case.works | EMPHASIS.get(case.language, frozenset())
    for word in sorted(set(_capitals(case.entry.text, case.works)) - known):
        yield f"{word} is no command that works"


def _capitals(text: str, works: frozenset[str]) -> list[str]:
    """Return the words in capitals that stand for themselves, not in a command of several words."""
    for phrase in sorted((one for one in works if " " in one), key=len, reverse=True):
        text = text.replace(phrase, " ")
    return _CAPITALS.findall(text)


def _senses(case: _Case) -> Iterator[str]:
    # A farmer sends back the word that was read; it must not turn out to be a command for something else.
    written = {word for word in _words(case) if not word.isupper()}
    passed = (table.get(case.language, frozenset()) for table in (SAME_SENSE, WHOLE_TEXT_ONLY))
    for word in sorted({word.casefold() for word in written}.difference(*passed)):
        if word.upper() in case.taught:
            yield f"uses {word!r}, which is also the command {word.upper()}"


def _plurals(case: _Case) -> Iterator[str]:
    if case.entry.forms != 1:
        yield "has plural forms; word it so that nothing agrees with a number"


def _spacing(case: _Case) -> Iterator[str]:
    text = case.entry.text
    if text != " ".join(text.split()):
        yield "white space is doubled, at an end, or no plain space"


def _reading(case: _Case) -> Iterator[str]:
    if case.promised.kind is not Kind.TEXT:
        return
    sentences = sum(bool(_WORD.search(sentence)) for sentence in _SENTENCE_END.split(case.entry.text))
    words = len(_words(case))
    if sentences > MOST_SENTENCES:
        yield f"{sentences} sentences, {MOST_SENTENCES} are read easily"
    if words > MOST_WORDS:
        yield f"{words} words, {MOST_WORDS} are read easily"


def _safety(case: _Case) -> Iterator[str]:
    used = {word.casefold() for word in _words(case)} & REFUSED.get(case.language, frozenset())
    for word in sorted(used):
        yield f"{word!r} belongs in no text without a reason"


def _words(case: _Case) -> list[str]:
    return _WORD.findall(_PLACE.sub(" ", case.entry.text))


_CHECKS: Final[dict[Rule, Callable[[_Case], Iterable[str]]]] = {
    Rule.ALPHABET: _alphabet,
    Rule.LENGTH: _length,
    Rule.PLACEHOLDERS: _placeholders,
    Rule.TRANSLATED: _translated,
    Rule.COMMANDS: _commands,
    Rule.SENSES: _senses,
    Rule.PLURALS: _plurals,
    Rule.SPACING: _spacing,
    Rule.READING: _reading,
    Rule.SAFETY: _safety,
}
