"""What the lint finds, shown on faults planted in a copy of the real catalogues."""

from collections.abc import Callable, Mapping
from dataclasses import replace

import pytest

from flows.catalogue import Entry, read_catalogues
from flows.lint import Finding, lint
from flows.longest import longest_of
from flows.promised import Longest, Rule, Text
from flows.texts import TEXTS
from tests.command_words import command_words, pack_of

Entries = dict[str, Entry]
Fault = Callable[[Entry], Entry]

CATALOGUES = read_catalogues()
WORKS = {language: command_words(pack_of(language)) for language in CATALOGUES}


def reworded(old: str, new: str) -> Fault:
    """Return the fault of having `new` where `old` stands."""

    def fault(entry: Entry) -> Entry:
        assert old in entry.text
        return replace(entry, text=entry.text.replace(old, new))

    return fault


def flagged(flag: str) -> Fault:
    """Return the fault of bearing `flag`."""
    return lambda entry: replace(entry, flags=entry.flags | {flag})


def planted(language: str, text_id: str, fault: Fault) -> dict[str, Entries]:
    """Return a copy of the catalogues with one fault."""
    catalogues = {name: dict(entries) for name, entries in CATALOGUES.items()}
    catalogues[language][text_id] = fault(catalogues[language][text_id])
    return catalogues


def found(
    catalogues: Mapping[str, Entries], texts: Mapping[str, Text] = TEXTS
) -> list[tuple[Rule, str, str]]:
    """Return what the lint finds, without the wording."""
    return [(finding.rule, finding.language, finding.text_id) for finding in lint(catalogues, WORKS, texts)]


def test_nothing_is_wrong_with_our_texts() -> None:
    """Every text in every language keeps every rule, or says why not."""
    assert [] == [str(finding) for finding in lint(CATALOGUES, WORKS)]


FAULTS = [
    pytest.param(Rule.ALPHABET, "sw", "weeds", reworded("'", "’"), id="curly-apostrophe"),
    pytest.param(Rule.ALPHABET, "en", "weeds", reworded("pests", "pests façade"), id="letter-outside-gsm7"),
    pytest.param(Rule.ALPHABET, "en", "weeds", reworded(" ", "\u00a0"), id="space-that-does-not-break"),
    pytest.param(Rule.LENGTH, "en", "first_fruit", reworded("trays", "trays now."), id="one-part-outgrown"),
    pytest.param(Rule.LENGTH, "sw", "compost", reworded("mbichi", "mbichi " + "a" * 40), id="far-outgrown"),
    pytest.param(Rule.PLACEHOLDERS, "sw", "weeds", reworded("{task}", "{jobs}"), id="another-placeholder"),
    pytest.param(Rule.PLACEHOLDERS, "en", "weeds", reworded("{task}", "3"), id="lost-in-english-too"),
    pytest.param(Rule.PLACEHOLDERS, "sw", "weeds", reworded("{task}", "{task"), id="brace-not-closed"),
    pytest.param(Rule.PLACEHOLDERS, "sw", "weeds", reworded("{task}", "{task} {Task}"), id="no-placeholder"),
    pytest.param(Rule.TRANSLATED, "sw", "weeds", flagged("fuzzy"), id="fuzzy"),
    pytest.param(
        Rule.TRANSLATED,
        "sw",
        "weeds",
        lambda entry: replace(entry, text=CATALOGUES["en"]["task.weeds.text"].text),
        id="left-in-english",
    ),
    pytest.param(Rule.TRANSLATED, "sw", "scout", lambda _: Entry(text=""), id="not-translated"),
    pytest.param(Rule.COMMANDS, "sw", "weeds", reworded("TAYARI", "DONE"), id="command-of-another-language"),
    pytest.param(Rule.COMMANDS, "en", "weeds", reworded("DONE", "READY"), id="command-that-does-not-work"),
    pytest.param(Rule.SENSES, "sw", "old_leaves", reworded("yaache", "acha"), id="stop-as-leave-on"),
    pytest.param(Rule.SENSES, "en", "weeds", reworded("Pull", "Stop and pull"), id="stop-as-pause"),
    pytest.param(Rule.PLURALS, "en", "weeds", lambda entry: replace(entry, forms=2), id="plural-forms"),
    pytest.param(Rule.SPACING, "en", "weeds", reworded("by hand", "by  hand"), id="double-space"),
    pytest.param(Rule.SPACING, "en", "weeds", reworded("by hand", "by\nhand"), id="line-break"),
    pytest.param(Rule.SPACING, "en", "weeds", reworded("Weeds", " Weeds"), id="space-at-the-start"),
    pytest.param(Rule.READING, "en", "scout", reworded("today.", "today. Now! Really? Yes."), id="sentences"),
    pytest.param(Rule.READING, "en", "scout", reworded("today", "today " + "or so " * 7), id="words"),
    pytest.param(Rule.SAFETY, "en", "scout", reworded("today", "safely"), id="calls-it-safe"),
    pytest.param(Rule.SAFETY, "en", "compost", reworded("Handfuls", "Litres"), id="names-a-dose"),
    pytest.param(
        Rule.SAFETY, "sw", "weeds", reworded("kwa mkono", "kwa dawa ya kufulia"), id="bleach-in-swahili"
    ),
    pytest.param(Rule.SAFETY, "sw", "scout", reworded("Leo", "Ni salama"), id="calls-it-safe-in-swahili"),
]


@pytest.mark.parametrize(("rule", "language", "task", "fault"), FAULTS)
def test_finds_a_planted_fault(rule: Rule, language: str, task: str, fault: Fault) -> None:
    """Each rule can fail: a fault planted in a good text is found, there and nowhere else."""
    text_id = f"task.{task}.text"

    findings = found(planted(language, text_id, fault))

    assert (rule, language, text_id) in findings
    assert {(language, text_id)} == {(where, which) for _, where, which in findings}


def test_every_rule_has_a_planted_fault() -> None:
    """No rule stands without a fault that it finds."""
    elsewhere = {Rule.COMPLETE, Rule.WAIVERS}

    assert set(Rule) == {case.values[0] for case in FAULTS} | elsewhere


def test_finds_a_text_that_a_language_lacks() -> None:
    """A new text must be written in every language."""
    catalogues = planted("sw", "help", lambda entry: entry)
    del catalogues["sw"]["help"]

    assert [(Rule.COMPLETE, "sw", "help")] == found(catalogues)


def test_finds_an_entry_that_nobody_asks_for() -> None:
    """A text that is no longer used, or misspelt, does not linger."""
    catalogues = planted("en", "help", lambda entry: entry)
    catalogues["en"]["hlep"] = Entry(text="Help")

    assert [(Rule.COMPLETE, "en", "hlep")] == found(catalogues)


def test_finds_a_value_of_which_nobody_knows_the_length() -> None:
    """A placeholder must say how long it can become before it is used."""
    texts = {**TEXTS, "ask_what": Text(values="whoever")}
    catalogues = planted("en", "ask_what", reworded("words", "{whoever}"))
    catalogues = {**catalogues, "sw": {**catalogues["sw"], "ask_what": Entry(text="Ni {whoever}")}}

    assert {
        Finding(
            rule=Rule.PLACEHOLDERS,
            language=language,
            text_id="ask_what",
            matter="nobody has said how long {whoever} can become",
        )
        for language in ("en", "sw")
    } == set(lint(catalogues, WORKS, texts))


def test_finds_a_reason_that_is_not_needed() -> None:
    """A waiver goes when what it excused has gone."""
    texts = {**TEXTS, "ask_what": Text(waived={Rule.SAFETY: "no reason"})}

    assert [(Rule.WAIVERS, "-", "ask_what")] == found(CATALOGUES, texts)


def test_a_label_that_grows_is_found_where_it_no_longer_fits() -> None:
    """Lists are judged with the longest labels of their own language, not with a guess."""
    catalogues = {name: dict(entries) for name, entries in CATALOGUES.items()}
    for text_id in ("task.mulch.label", "task.land.label", "task.beds.label"):
        catalogues["sw"][text_id] = Entry(text="m" * 24)

    assert [
        (Rule.LENGTH, "sw", "week"),
        (Rule.LENGTH, "sw", "week_today"),
    ] == found(catalogues)


def test_a_label_has_its_own_limit() -> None:
    """A label longer than a list has room for is found by itself."""
    fault = reworded("Maji", "Maji ya kutosha kwa mimea yote")

    assert (Rule.LENGTH, "sw", "task.water.label") in found(planted("sw", "task.water.label", fault))


def test_a_finding_reads_as_one_line() -> None:
    """Whoever broke a rule sees the language, the text, the matter and the rule."""
    catalogues = planted("sw", "task.weeds.text", reworded("TAYARI", "DONE"))

    assert ["sw task.weeds.text: DONE is no command that works [commands]"] == [
        str(finding) for finding in lint(catalogues, WORKS)
    ]


@pytest.mark.parametrize(
    ("ids", "text_id", "covered"),
    [
        pytest.param(".label", "task.weeds.label", True, id="by-its-end"),
        pytest.param(".label", "task.weeds.text", False, id="another-end"),
        pytest.param("finding.", "finding.mites", True, id="by-its-beginning"),
        pytest.param("finding.", "task.finding.", False, id="another-beginning"),
    ],
)
def test_a_filling_of_texts_covers_by_beginning_or_end(*, ids: str, text_id: str, covered: bool) -> None:
    """A filling made of other texts names them by how their ids begin or end."""
    assert covered == Longest(ids=ids).covers(text_id)


def test_the_longest_filling_is_the_longest_there_is() -> None:
    """A list at its longest has the longest labels, numbered, with their own placeholders filled."""
    assert (
        "WWWWWWWWWWWW, this week: 1 Flowers off (weeks: 3) 2 Leave flowers 3 Count plants. "
        "Then reply DONE and number. JOBS for more."
    ) == longest_of("week_more", CATALOGUES["en"])
