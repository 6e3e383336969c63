"""The table of texts, against what the rest of the project asks of it."""

import re
import tomllib
from importlib.resources import files

import pytest

from flows.alarms import Harm
from flows.alphabet import septets
from flows.catalogue import NEEDS_REVIEW, read_catalogues
from flows.longest import longest_of
from flows.promised import Kind
from flows.reader import Intent
from flows.texts import TEXTS
from tests.command_words import main_word, pack_of

CATALOGUES = read_catalogues()
LANGUAGES = sorted(CATALOGUES)


def calendar_tasks() -> list[str]:
    """Return the ids of the tasks in the crop calendar that comes with the project."""
    data = files("service.agronomy") / "data" / "calendar.toml"
    return [task["id"] for task in tomllib.loads(data.read_text("utf-8"))["tasks"]]


@pytest.mark.parametrize("task", calendar_tasks())
def test_every_task_of_the_calendar_has_its_texts(task: str) -> None:
    """A task without words could be planned but never be texted."""
    assert {f"task.{task}.label", f"task.{task}.text"} <= TEXTS.keys()


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_longest_texts_of_a_single_part_stay_within_160_septets(language: str) -> None:
    """Whatever is filled in, a single part is a single part (160 septets, 3GPP TS 23.038)."""
    single = (text_id for text_id, text in TEXTS.items() if text.parts == 1)

    assert max(septets(longest_of(text_id, CATALOGUES[language])) for text_id in single) <= 160


@pytest.mark.parametrize("language", LANGUAGES)
def test_four_usual_jobs_fit_into_the_text_of_a_week(language: str) -> None:
    """A week in the season has four jobs at once; with the longest name they go in one text."""
    entries = CATALOGUES[language]
    labels = [entries[f"task.{task}.label"].text for task in ("scout", "runners", "old_leaves", "mulch")]
    jobs = " ".join(f"{place} {label}" for place, label in enumerate(labels, start=1))

    assert septets(entries["week_more"].text.replace("{name}", "W" * 12).replace("{jobs}", jobs)) <= 160


@pytest.mark.parametrize("language", LANGUAGES)
def test_help_names_every_command_a_farmer_can_use(language: str) -> None:
    """The three lists of words are whole; yes, no and understood only answer, joining is over, cancel is asked about.

    Who wants warnings again is told how when they end them; who has a collection day is told of ESTIMATE with it.
    """
    pack = pack_of(language)
    left_out = {Intent.YES, Intent.NO, Intent.UNDERSTOOD, Intent.JOIN, Intent.CANCEL, Intent.ALERTS_ON}
    # Farmers are not told what only officers can do.
    left_out |= {Intent.COUNTS, Intent.WARN, Intent.ESTIMATE, Intent.BASKET}
    told = " ".join(CATALOGUES[language][text_id].text for text_id in ("help", "help_more", "help_money"))
    words = {main_word(pack, intent) for intent in Intent if intent not in left_out}

    assert set() == {word for word in words if not re.search(rf"\b{word}\b", told)}


def test_seedlings_are_plants_that_are_not_yet_set() -> None:
    """In Swahili "miche" are young plants to be set or bought; what stands in the ground is "mimea" in every text."""
    of_seedlings = {
        *("joined_ahead", "joined_ahead_quiet", "cost_kind", "cost.seedlings", "task.plants_in.text"),
        *("task.gaps.text", "task.order_plants.label", "task.order_plants.text", "task.renew.text"),
    }
    said = {
        text_id for text_id, entry in CATALOGUES["sw"].items() if re.search(r"\b(mche|miche)\b", entry.text)
    }

    assert of_seedlings == said


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("text_id", ["scout_ask", "task.scout.text"])
def test_looking_under_the_leaves_has_five_answers(text_id: str, language: str) -> None:
    """The five digits stand in the order in which they are understood, "nothing" last."""
    text = CATALOGUES[language][text_id].text
    findings = ["mites", "slugs", "grey_mould", "flies"]
    # The question is shorter than the words that are said back: "grey mould" for "grey mould on fruit".
    first_words = [CATALOGUES[language][f"finding.{finding}"].text.split()[0] for finding in findings]

    places = [text.index(f" {place} {word}") for place, word in enumerate(first_words, start=1)]
    assert sorted(places) == places
    assert " 5 " in text[places[-1] :]


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_finding_is_answered_without_a_spray(language: str) -> None:
    """A farmer who sees a pest is told not to spray and that an officer will look."""
    words = {"en": ("Do not spray", "officer"), "sw": ("Usipulizie", "afisa")}
    text = CATALOGUES[language]["scout_noted_trouble"].text

    assert all(word in text for word in words[language])


FIRST_AID = [text_id for text_id, text in TEXTS.items() if text.kind is Kind.FIRST_AID]


def test_every_first_aid_text_bears_the_mark_of_waiting() -> None:
    """Nobody has approved the wording, so a real gateway must be able to see that."""
    assert 2 * (len(Harm) + 1) == len(FIRST_AID)
    for text_id in FIRST_AID:
        assert all(NEEDS_REVIEW in CATALOGUES[language][text_id].flags for language in LANGUAGES)


# What each says, in the order of `LANGUAGES`: first aid as it is commonly taught. Common practice, no source.
STEPS = {
    "emergency": (
        "take off wet clothes|wash skin|rinse eyes 15 minutes|not make them vomit|label|clinic",
        "vua nguo|osha ngozi|suuza macho kwa maji dakika 15|usimtapishe|lebo|kliniki",
    ),
    "emergency_fire": (
        "everybody out|far away|not go back in|lie down and roll|water",
        "watoe watu wote|mbali|msirudi|lala chini, bingirika|maji",
    ),
    "emergency_shock": (
        "not touch|switch off|away from wires|clinic",
        "usimguse|zima umeme|mbali na waya|kliniki",
    ),
    "emergency_snake": (
        "keep still|not cut, suck or tie|hospital",
        "usitembee|usichanje|usilinyonye|usilifunge|hospitali",
    ),
    "emergency_hurt": (
        "press|clean cloth|raise|do not take the cloth off|clinic",
        "bana|kitambaa safi|inua|usikitoe|kliniki",
    ),
    "emergency_burns": (
        "running water for 20 minutes|no oil, no ice|clean cloth|clinic",
        "mwagia maji safi dakika 20|usipake mafuta wala barafu|kitambaa safi|kliniki",
    ),
    "emergency_heat": (
        "shade|wet the skin|only if wide awake|clinic",
        "kivulini|mloweshe|tu akiwa macho|kliniki",
    ),
    "emergency_unclear": (
        "away from danger|call people|on their side|no food or drink|clinic",
        "penye hatari|iteni watu|ubavu|usimpe chakula wala maji|kliniki",
    ),
    "distress": (
        "you matter|not alone|stay with somebody|a person here will read",
        "wewe ni wa thamani|hauko peke yako|kaa na mtu|mtu wetu atausoma",
    ),
}


@pytest.mark.parametrize("text_id", FIRST_AID)
def test_first_aid_says_what_is_commonly_taught(text_id: str) -> None:
    """The steps of its kind, with a number to call and without, and no product or oil to put on anything."""
    wanted = dict(zip(("en", "sw"), STEPS[text_id.removesuffix("_no_number")], strict=True))

    for language, steps in wanted.items():
        said = CATALOGUES[language][text_id].text.casefold()
        assert [] == [step for step in steps.split("|") if step not in said]


@pytest.mark.parametrize("text_id", [one for one in FIRST_AID if not one.endswith("_no_number")])
@pytest.mark.parametrize("language", LANGUAGES)
def test_first_aid_without_a_number_says_the_rest_of_it(text_id: str, language: str) -> None:
    """Only the call falls away where the programme has set no number."""
    with_number, without = (CATALOGUES[language][one].text for one in (text_id, f"{text_id}_no_number"))
    kept = [sentence for sentence in re.split(r"(?<=[.?]) ", with_number) if "{number}" not in sentence]

    assert "{number}" in with_number
    assert [] == [sentence for sentence in kept if sentence not in without]
