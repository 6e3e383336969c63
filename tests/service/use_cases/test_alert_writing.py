"""The words of an alert: templates at their longest, own words measured and refused."""

from datetime import date

import pytest

from flows.alphabet import Alphabet
from flows.catalogue import load_catalogue
from flows.templates import TEMPLATES
from service.bootstrap import gather_tools
from service.core.errors import Refused
from service.ids import CountingIds
from service.settings import given_settings
from service.use_cases.alerts.writing import (
    MOST_PARTS,
    Sender,
    cheaper,
    check,
    sender_of,
    write_free,
    write_template,
)

TOOLS = gather_tools(given_settings(programme="Zaruvi Berry Programme"), load_catalogue(), CountingIds())
BOTH = ("en", "sw")
ASHA = Sender(officer="Asha Mlima", area="Ndaliro")
# The longest sender there can be, on a day whose name and numbers are long.
LONGEST = Sender(officer="W" * 16, area="W" * 24)
WEDNESDAY = date(2026, 11, 25)


@pytest.mark.parametrize("name", TEMPLATES)
@pytest.mark.parametrize("end", ["least", "most"])
@pytest.mark.parametrize("late", [False, True], ids=["in time", "late"])
def test_a_template_costs_one_part_in_every_language(name: str, end: str, *, late: bool) -> None:
    """With the longest sender and either end of the figure: one part of the cheap alphabet."""
    figure = getattr(TEMPLATES[name], end)

    written = write_template(
        TOOLS, name, sender=LONGEST, on=WEDNESDAY, figure=figure, languages=BOTH, late=late
    )

    assert [(1, Alphabet.GSM7)] * 2 == [(one.room.parts, one.room.alphabet) for one in written]
    assert all(str(figure) in one.text for one in written)


@pytest.mark.parametrize("name", TEMPLATES)
@pytest.mark.parametrize("step", [("least", -1), ("most", 1)], ids=["too little", "too much"])
def test_a_figure_that_cannot_be_meant_is_refused(name: str, step: tuple[str, int]) -> None:
    """One below the least and one above the most."""
    figure = getattr(TEMPLATES[name], step[0]) + step[1]

    with pytest.raises(Refused, match="cannot be"):
        write_template(TOOLS, name, sender=ASHA, on=WEDNESDAY, figure=figure, languages=BOTH)


@pytest.mark.parametrize(
    ("districts", "area"),
    [
        (("Ndaliro",), "Ndaliro"),
        (("Ndaliro", "Ketumali"), "Ndaliro, Ketumali"),
        (("Zaruvi", "Ketumali", "Ndaliro", "Shumbeka"), "Zaruvi Berry Programme"),
    ],
    ids=["one", "two", "all"],
)
def test_the_area_is_named_as_far_as_there_is_room(districts: tuple[str, ...], area: str) -> None:
    """Names of districts where they fit, else that of the programme."""
    assert Sender(officer="Asha Mlima", area=area) == sender_of(TOOLS, "Asha Mlima", districts)


def test_own_words_begin_with_the_sender_and_may_ask() -> None:
    """Languages without words are left out; the question stands in the language of the text."""
    asking = write_free(TOOLS, {"en": "", "sw": " Mkutano  ni Ijumaa. "}, sender=ASHA, asks=True)
    telling = write_free(TOOLS, {"en": "We meet on Friday."}, sender=ASHA, asks=False)

    assert ["Asha Mlima (Ndaliro): Mkutano ni Ijumaa. Jibu 1 nimeelewa 2 msaada"] == [
        one.text for one in asking
    ]
    assert ["Asha Mlima (Ndaliro): We meet on Friday."] == [one.text for one in telling]


def test_a_name_that_looks_like_a_placeholder_stays_what_it_is() -> None:
    """Values are filled in once and never read again."""
    (written,) = write_free(TOOLS, {"en": "{officer} {temp}"}, sender=ASHA, asks=False)

    assert "Asha Mlima (Ndaliro): {officer} {temp}" == written.text


@pytest.mark.parametrize(
    ("words", "culprits", "instead"),
    [
        ("Meet – Friday", ("–",), "-"),
        ("Farmers’ meeting", ("’",), "'"),
        ("Mkutano 👍", ("👍",), ""),
        ("Meet - Friday", (), None),
    ],
    ids=["a dash", "a quote", "a picture", "plain"],
)
def test_the_character_that_doubles_the_cost_is_named(
    words: str, culprits: tuple[str, ...], instead: str | None
) -> None:
    """With what to write instead, where there is something."""
    (written,) = write_free(TOOLS, {"en": words}, sender=ASHA, asks=False)

    assert culprits == written.culprits
    assert [instead] * len(culprits) == [cheaper(char) for char in culprits]


@pytest.mark.parametrize(
    ("words", "parts"), [("a" * 120, 1), ("a" * 160, 2), ("a" * 420, 3), ("ʼ" * 170, 3)], ids=str
)
def test_up_to_three_parts_may_be_sent(words: str, parts: int) -> None:
    """Whatever the alphabet."""
    written = write_free(TOOLS, {"en": words}, sender=ASHA, asks=False)
    check(written)

    assert [parts] == [one.room.parts for one in written]
    assert parts <= MOST_PARTS


@pytest.mark.parametrize("words", ["a" * 440, "ʼ" * 190], ids=["plain", "the dear alphabet"])
def test_more_is_refused(words: str) -> None:
    """With the count and what to do."""
    with pytest.raises(Refused, match="costs 4 parts: shorten it to 3"):
        check(write_free(TOOLS, {"en": words}, sender=ASHA, asks=False))


def test_each_text_is_kept_with_its_digest() -> None:
    """Two texts that differ in one letter have different digests; the same one has the same."""
    one, other = (
        write_free(TOOLS, {"en": words}, sender=ASHA, asks=False)[0] for words in ("Friday", "friday")
    )

    assert one.as_alert_text.digest != other.as_alert_text.digest
    assert one.as_alert_text.unchanged
