"""What an officer's order for a warning is read as, whatever the order of its words."""

from collections.abc import Callable
from datetime import date

import pytest

from flows.inputs import Input, Join
from flows.orders import Counts, Warn
from flows.reader import Reading

Says = Callable[[str], Reading]
# Days here are counted from Wednesday 25 November 2026.
FRIDAY = date(2026, 11, 27)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("WARN frost 27/11 -2 Ketumali", Warn(template="frost", on=FRIDAY, figure=-2, district="Ketumali")),
        ("warn Ketumali frost friday -2", Warn(template="frost", on=FRIDAY, figure=-2, district="Ketumali")),
        ("warn frost 1/9 27/11 3", Warn(template="frost", on=FRIDAY, figure=3)),
        ("onya mvua ya mawe ijumaa 40", Warn(template="hail", on=FRIDAY, figure=40)),
        ("onya mvua kubwa kesho 60", Warn(template="rain", on=date(2026, 11, 26), figure=60)),
        ("warn 1/9", Warn()),
        ("COUNTS", Counts()),
        ("idadi", Counts()),
    ],
)
def test_an_officers_words_are_read(says: Says, text: str, expected: Input) -> None:
    """Template, coming day, figure and district stand in any order; what is not said is None."""
    assert expected == says(text).input


def test_a_telephone_number_counts_no_plants(says: Says) -> None:
    """Whoever registers somebody writes the number beside the plants."""
    read = says("REGISTER Asha 300 12/10/2026 Ketumali 0621234577").input

    assert isinstance(read, Join)
    assert ("Asha", 300, "Ketumali", "0621234577") == (read.name, read.plants, read.district, read.number)
