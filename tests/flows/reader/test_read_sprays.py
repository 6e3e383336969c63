"""Reports of sprays: the label's days and the day are read, a dose never is, and questions stay questions."""

from collections.abc import Callable
from datetime import date

import pytest

from flows.alarms import Emergency
from flows.inputs import Words
from flows.reader import Reading
from flows.spraying import LONGEST_HOLD, Sprayed
from service.settings import Settings

Says = Callable[[str], Reading]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("SPRAYED 7", Sprayed(days=7)),
        ("sprayed", Sprayed()),
        ("spray", Sprayed()),
        ("sprayed 7 days", Sprayed(days=7)),
        ("sprayed seven", Sprayed(days=7)),
        ("sprayed 2 weeks", Sprayed(days=14)),
        ("I have sprayed, the label says wait 14 days", Sprayed(days=14)),
        ("sparyed 7", Sprayed(days=7)),
        ("sprayed 7 days ago", Sprayed(on=date(2026, 11, 18))),
        ("sprayed 7 days ago, label 14", Sprayed(days=14, on=date(2026, 11, 18))),
        ("sprayed on 20/11 label 7", Sprayed(days=7, on=date(2026, 11, 20))),
        ("sprayed last week", Sprayed(vague=True)),
        ("sprayed 20 ml on the leaves", Sprayed()),
        ("sprayed 20 g", Sprayed()),
        ("sprayed 2 buckets", Sprayed()),
        ("sprayed 300 plants", Sprayed()),
        ("sprayed 7 and 14", Sprayed()),
        ("sprayed 61", Sprayed()),
        ("sprayed 0", Sprayed()),
        ("sprayed, label I do not know", Sprayed(unsure=True)),
        ("PULIZIA 7", Sprayed(days=7)),
        ("NIMEPULIZIA 7", Sprayed(days=7)),
        ("nimepulizia dawa jana siku 14", Sprayed(days=14, on=date(2026, 11, 24))),
        ("tulipulizia juzi 10", Sprayed(days=10, on=date(2026, 11, 23))),
        ("nimepulizia siku 7 zilizopita", Sprayed(on=date(2026, 11, 18))),
        ("nimepuliza dawa", Sprayed()),
        ("tumepulizia dawa sijui siku", Sprayed(unsure=True)),
    ],
)
def test_a_spray_is_read_with_its_days(says: Says, text: str, expected: Sprayed) -> None:
    """A number beside which anything else is counted is not the label's."""
    assert expected == says(text).input


@pytest.mark.parametrize(
    "text",
    [
        *(
            "spray for mites?",
            "which spray for mites",
            "can I spray 7",
            "what should I spray",
            "spray for mites",
        ),
        *(
            "not sprayed",
            "I will spray tomorrow",
            "sprayed water",
            "stray dog in my plot",
            "sprayer is broken",
        ),
        *(
            "dawa",
            "dawa gani nipulizie",
            "pulizia dawa gani",
            "sijapulizia",
            "nitapulizia kesho",
            "usipulizie",
        ),
        "nimepulizia maji",
    ],
)
def test_what_reports_no_spray_is_left_to_a_person(says: Says, text: str) -> None:
    """Questions about sprays, and what is not done yet, hold nothing back."""
    assert isinstance(says(text).input, Words)


@pytest.mark.parametrize(
    "text",
    ["my son drank spray", "sprayed 7, it is in my eye", "nimepulizia dawa machoni", "sprayed and dizzy"],
)
def test_an_alarm_goes_before_a_spray(says: Says, text: str) -> None:
    """Whoever is hurt by a spray is helped first."""
    assert isinstance(says(text).input, Emergency)


def test_the_longest_hold_is_one_number() -> None:
    """What a programme sets by default is what the conversation takes without a setting."""
    assert LONGEST_HOLD == Settings.model_fields["longest_hold_days"].default
