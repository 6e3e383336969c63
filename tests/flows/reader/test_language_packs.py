from collections.abc import Callable
from itertools import combinations
from pathlib import Path

import pytest
from babel import Locale
from rapidfuzz.distance import OSA

from flows.alarms import Harm
from flows.inputs import Words
from flows.reader import Intent, PackError, Packs, Reading, load_packs
from flows.reader.lexicon import words_of
from flows.reader.normalise import key_of
from flows.reader.pack import Pack, read_packs
from flows.reader.phrases import Phrases
from tests.command_words import command_words, main_word, pack_of

LOCALE = Path(__file__).parents[3] / "flows" / "locale"
PACKS = read_packs()

Says = Callable[[str], Reading]


def test_shipped_languages() -> None:
    """English and Swahili are there, each with a main word for every intent."""
    mains = {pack.language: main_word(pack, Intent.STOP) for pack in PACKS}

    assert {"en": "STOP", "sw": "ACHA"} == mains
    assert {"HARVEST", "PICKED", "DONE", "YES"} <= command_words(pack_of("en"))
    assert {"VUNA", "NIMEVUNA", "WAMEMALIZA"} <= command_words(pack_of("sw"))
    assert "STOPP" not in command_words(pack_of("en"))


@pytest.mark.parametrize("pack", PACKS, ids=lambda pack: pack.language)
def test_every_language_knows_words_of_every_harm(pack: Pack) -> None:
    """A kind without words would have first aid that nobody is ever sent."""
    assert set(Harm) == pack.alarm.harms.keys()
    assert set(Harm) - {Harm.UNCLEAR} <= {pair.harm for pair in pack.danger.pairs.values()}


def test_no_two_commands_are_one_slip_apart() -> None:
    """No slip of the finger turns one command into another, in or across languages.

    Letters that stand alone are all one slip apart; they say yes or no to what was just asked, and nothing else.
    """
    commands = [command for pack in PACKS for command in words_of(pack) if len(command.word) > 1]
    letters = {command.word: command.intent for pack in PACKS for command in words_of(pack)}
    close = [
        (one.word, two.word)
        for one, two in combinations(commands, 2)
        if one.intent is not two.intent and OSA.distance(one.word, two.word) <= 1
    ]

    assert [] == close
    assert {"y": Intent.YES, "n": Intent.NO} == {
        word: intent for word, intent in letters.items() if len(word) == 1
    }


def test_every_command_word_alone_is_recognised(packs: Packs, says: Says) -> None:
    """Each word, slip and verb form does what the main word of its command does; none is left to a person."""
    main = {
        (intent, pack.language): type(says(main_word(pack, intent)).input)
        for pack in PACKS
        for intent in pack.commands
    }
    alone = {command: type(says(command.word).input) for pack in PACKS for command in words_of(pack)}

    assert Words not in main.values()
    assert [] == [
        command.word for command, kind in alone.items() if kind is not main[command.intent, command.language]
    ]


def test_commands_are_no_other_word_of_ours() -> None:
    """A command is neither a greeting, a function word, a number, a unit nor a day, in any language."""
    lexicon = Packs(PACKS).lexicon(None)
    asked = {word for word, command in lexicon.commands.items() if command.intent is not Intent.NO}
    talk = [lexicon.function, lexicon.greetings, lexicon.plants, lexicon.containers, lexicon.questions]
    time: list[Phrases[int] | Phrases[str]] = [
        lexicon.time.months,
        lexicon.time.weekdays,
        lexicon.time.days,
        lexicon.time.periods,
    ]
    numbers = {word for words in lexicon.numbers for word in (*words.ones, *words.tens, *words.scales)}

    assert not asked & numbers
    assert [] == sorted(word for word in asked if any(word in phrases for phrases in talk))
    assert [] == sorted(
        word for word in asked if word in lexicon.units or any(word in phrases for phrases in time)
    )


@pytest.mark.parametrize("language", ["en", "sw"])
@pytest.mark.parametrize("width", ["wide", "abbreviated"])
def test_months_are_those_of_cldr(language: str, width: str) -> None:
    """Our months hold every name and short name Unicode CLDR has, as Babel ships it."""
    months = pack_of(language).dates.months
    theirs = Locale.parse(language).months["format"][width]

    assert [] == [name for number, name in theirs.items() if key_of(name) not in months[number - 1]]


@pytest.mark.parametrize("language", ["en", "sw"])
@pytest.mark.parametrize("width", ["wide", "abbreviated"])
def test_weekdays_are_those_of_cldr(language: str, width: str) -> None:
    """Our weekdays hold every name and short name Unicode CLDR has, as Babel ships it."""
    weekdays = pack_of(language).dates.weekdays
    theirs = Locale.parse(language).days["format"][width]

    assert [] == [name for number, name in theirs.items() if key_of(name) not in weekdays[number]]


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (
            'language = "en"',
            'language = "xx"',
            "en.toml: language: 'xx' is not the language the file is named after",
        ),
        (
            'done = ["done"',
            'done = ["jobs"',
            "en.toml: commands.jobs: 'jobs' already asks for done in en.toml",
        ),
        ('cancel = ["cancel", "end"]', "", "en.toml: commands.cancel: has no words"),
        (
            'cancel = ["cancel", "end"]',
            "cancel = []",
            "en.toml: commands.cancel: Tuple should have at least 1 item",
        ),
        ('"monday", "mon"', '"monday", 1', "en.toml: dates.weekdays.0.1: Input should be a valid string"),
        (
            "hundred = 100",
            'hundred = "much"',
            "en.toml: numbers.scales.hundred: Input should be a valid integer",
        ),
        ("[phrases]", 'who = ["who"]\n[phrases]', "en.toml: commands.who: is read as a phrase only"),
        ("[units]", "[unite]", "en.toml: units: Field required"),
        ('language = "en"', "language =", "en.toml: file: Invalid value"),
    ],
    ids=["language", "two meanings", "no words", "empty", "type", "number", "unread", "section", "syntax"],
)
def test_wrong_pack_is_refused_by_file_and_entry(tmp_path: Path, old: str, new: str, expected: str) -> None:
    """Each mistake in a pack names the file, the entry and what is the matter."""
    text = (LOCALE / "en.toml").read_text(encoding="utf-8")
    assert old in text
    (tmp_path / "en.toml").write_text(text.replace(old, new, 1), encoding="utf-8")

    with pytest.raises(PackError) as caught:
        load_packs(tmp_path)

    assert expected in str(caught.value)


def test_third_language_is_a_file(tmp_path: Path) -> None:
    """A further language needs no code: its file is found and its words work."""
    text = (LOCALE / "en.toml").read_text(encoding="utf-8")
    (tmp_path / "fr.toml").write_text(
        text.replace('language = "en"', 'language = "fr"').replace('"harvest", ', '"récolte", '),
        encoding="utf-8",
    )

    assert ("fr",) == load_packs(tmp_path).languages
    assert "RECOLTE" in command_words(pack_of("fr", tmp_path))
