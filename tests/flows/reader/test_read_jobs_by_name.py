"""Jobs reported by the words of their titles; the wordings are our own, from everyday speech, no source."""

from collections.abc import Callable

import pytest

from flows.inputs import Done, Harvest, Help, Input, NeedHelp, NotYet, Words
from flows.reader import Packs, Situation, read
from tests.flows.reader.conftest import TODAY

# As the list of a farmer says them in both languages.
JOBS = {
    1: ("Toa maua", "Flowers off"),
    2: ("Tafuta wadudu", "Check pests"),
    3: ("Maji", "Water"),
    4: ("Magugu", "Weeds"),
    5: ("Vuna, pima", "Pick, weigh"),
}
Means = Callable[[str], Input]


@pytest.fixture
def means(packs: Packs) -> Means:
    """Return what a farmer with that list means."""
    situation = Situation(
        on=TODAY, districts=(), languages=packs, language="sw", jobs=JOBS, people=frozenset({"asha", "neema"})
    )
    return lambda text: read(text, situation).input


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("nimeshamwagilia", Done(numbers=(3,))),
        ("nimemwagilia maji tayari", Done(numbers=(3,))),
        ("nimemwagilia jana", Done(numbers=(3,))),
        ("nimepalilia", Done(numbers=(4,))),
        ("nimemaliza kupalilia", Done(numbers=(4,))),
        ("nimetoa maua yote", Done(numbers=(1,))),
        ("nimeshatafuta wadudu", Done(numbers=(2,))),
        ("nimeshatoa maua na magugu", Done(numbers=(1, 4))),
        ("asha finished checking pests", Done(numbers=(2,))),
        ("watering done", Done(numbers=(3,))),
        ("weeding finished today", Done(numbers=(4,))),
        ("maji bado", NotYet(numbers=(3,))),
        ("bado sijamwagilia maji", NotYet(numbers=(3,))),
        ("bado sijamaliza kutafuta wadudu", NotYet(numbers=(2,))),
        ("sijapalilia", NotYet(numbers=(4,))),
        ("hatujamwagilia", NotYet(numbers=(3,))),
        ("checking pests not yet", NotYet(numbers=(2,))),
        ("weeds not done yet", NotYet(numbers=(4,))),
        ("naomba msaada wa wadudu", NeedHelp(numbers=(2,))),
        ("need help with pests", NeedHelp(numbers=(2,))),
    ],
)
def test_a_job_is_named_by_its_title(means: Means, text: str, expected: Input) -> None:
    """Its words, a verb form of them or one that says the same: each tells one job of the list."""
    assert expected == means(text)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("nimevuna", Harvest),
        ("sijavuna", Harvest),
        ("msaada", Help),
        ("wadudu", Words),
        ("nina wadudu", Words),
        ("dawa ya wadudu tayari", Words),
        ("mbona sijamwagilia maji?", Words),
        ("nimemwagilia lita 20", Words),
    ],
)
def test_a_word_of_a_title_alone_reports_nothing(means: Means, text: str, kind: type[Input]) -> None:
    """A picking is told as one, and a pest that is seen is no job that is done."""
    assert isinstance(means(text), kind)
