"""A farmer who says things on a known day."""

from collections.abc import Callable
from datetime import date

import pytest

from flows.reader import Packs, Reading, Situation, load_packs, read

# A Wednesday.
TODAY = date(2026, 11, 25)
DISTRICTS = ("Zaruvi", "Ketumali", "Ndaliro", "Shumbeka", "Zaruvi Hills")

Says = Callable[[str], Reading]


@pytest.fixture(scope="session")
def packs() -> Packs:
    """Return the shipped languages."""
    return load_packs()


@pytest.fixture(scope="session")
def says(packs: Packs) -> Says:
    """Return how a text is read on Wednesday 25 November 2026."""
    situation = Situation(on=TODAY, districts=DISTRICTS, languages=packs, language="sw")
    return lambda text: read(text, situation)
