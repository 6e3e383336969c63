"""The pre-approved warnings: one table, and the words and texts that belong to it."""

import re
from datetime import date

import pytest

from flows.catalogue import read_catalogues
from flows.orders import Warn
from flows.reader import Situation, load_packs, read
from flows.reader.pack import Warnings
from flows.templates import TEMPLATES
from flows.texts import TEXTS

PACKS = load_packs()
CATALOGUES = read_catalogues()


def test_every_warning_has_its_words_and_texts() -> None:
    """A warning without words could not be ordered by text, one without texts not be shown or refused."""
    texts = {text_id for one in TEMPLATES.values() for text_id in (*one.text_ids, one.range_id)}

    assert set(TEMPLATES) == set(Warnings.model_fields)
    assert texts <= set(TEXTS)


@pytest.mark.parametrize("language", sorted(CATALOGUES))
@pytest.mark.parametrize("name", TEMPLATES)
def test_the_example_in_a_refusal_would_not_be_refused(name: str, language: str) -> None:
    """Who sends the example that the text shows, for their own day and district, is offered that warning."""
    said = CATALOGUES[language][TEMPLATES[name].range_id].text
    (example,) = re.findall(r"(?:WARN|ONYA) .*(?=\.$)", said)
    situation = Situation(on=date(2026, 11, 25), districts=("Zaruvi",), languages=PACKS)

    order = read(example, situation).input

    assert isinstance(order, Warn)
    assert (name, "Zaruvi", date(2026, 11, 27)) == (order.template, order.district, order.on)
    assert order.figure is not None
    assert TEMPLATES[name].makes_sense(order.figure)


@pytest.mark.parametrize(
    ("language", "pick", "unless"), [("en", "pick", "if no spray"), ("sw", "chuma", "yasiyo na dawa")]
)
@pytest.mark.parametrize("text_id", [text_id for one in TEMPLATES.values() for text_id in one.text_ids])
def test_a_warning_asks_for_no_fruit_that_a_spray_forbids(
    text_id: str, language: str, pick: str, unless: str
) -> None:
    """One text goes to all: who may not pick after a spray reads so in the same sentence as who may."""
    said = CATALOGUES[language][text_id].text.casefold()

    assert (pick in said) == (unless in said)
