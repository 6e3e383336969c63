"""Texts that come in parts, too long, or with characters that would harm, and numbers in every form."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from itertools import count, permutations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.core.gateway import InboundText, PartOf
from service.use_cases.receiving import LONGEST, clean, store, take_overdue_parts
from tests.depth import times
from tests.village import SERVICE_NUMBER, Village

NEEMA, JUMA = "+255621234501", "+255621234502"


@dataclass
class Intake:
    """Hands texts over as a gateway does."""

    village: Village
    _refs: Iterator[int] = field(default_factory=count)

    def text(
        self, text: str, *, source: str = NEEMA, part: PartOf | None = None, ref: str | None = None
    ) -> bool:
        """Hand over a text or a part; return whether it was new."""
        now = self.village.clock.now()
        event = InboundText(
            event_id="e",
            message_ref=f"ref-{next(self._refs)}" if ref is None else ref,
            source=source,
            destination=SERVICE_NUMBER,
            text=text,
            received_at=now,
            part=part,
        )
        with self.village.database.work() as work:
            new = store(work, self.village.tools, event, now, now)
            work.commit()
        return new

    def part(
        self,
        number: int,
        total: int,
        text: str,
        *,
        whole: str = "7",
        source: str = NEEMA,
        ref: str | None = None,
    ) -> bool:
        """Hand over one part."""
        return self.text(text, source=source, part=PartOf(ref=whole, number=number, total=total), ref=ref)

    def overdue(self) -> int:
        """Do what each tick does about parts."""
        with self.village.database.work() as work:
            return take_overdue_parts(work, self.village.tools, self.village.clock.now())

    @property
    def stored(self) -> list[tuple[object, bool]]:
        """What is stored: text, and whether it is incomplete."""
        rows = self.village.rows("SELECT text, incomplete FROM inbound ORDER BY id")
        return [(row["text"], bool(row["incomplete"])) for row in rows]


@pytest.fixture
def intake(village: Village) -> Intake:
    """Hands texts over to a village."""
    return Intake(village)


def test_parts_in_any_order_are_one_text(intake: Intake) -> None:
    """However the parts come, the text is whole once and complete."""
    pieces = {1: "harvest ", 2: "12", 3: ".5"}
    for place, order in enumerate(permutations(pieces)):
        for number in order:
            intake.part(number, 3, pieces[number], whole=str(place))

    assert [("harvest 12.5", False)] * 6 == intake.stored


def test_nothing_is_read_while_a_part_is_missing(intake: Intake) -> None:
    """Half a text is no text yet."""
    intake.part(1, 2, "harvest ")
    intake.village.clock.advance(timedelta(minutes=9, seconds=59))

    assert 0 == intake.overdue()
    assert [] == intake.stored


def test_after_ten_minutes_what_came_is_taken_and_marked(intake: Intake) -> None:
    """A part that never comes leaves a gap, and the text says that it is incomplete."""
    intake.part(1, 3, "my plants are yellow")
    intake.part(3, 3, "what can I do?")
    intake.village.clock.advance(timedelta(minutes=10))

    assert 1 == intake.overdue()
    assert 0 == intake.overdue()
    assert [("my plants are yellow ... what can I do?", True)] == intake.stored


def test_ten_minutes_count_from_the_part_that_came_first(intake: Intake) -> None:
    """Whatever its number, and whatever came after it: a part that is later than that begins another text."""
    pieces = {3: "what can I do?", 1: "my plants are yellow"}
    for number, piece in pieces.items():
        for whole in ("7", "8"):
            intake.part(number, 3, piece, whole=whole)
        intake.village.clock.advance(timedelta(minutes=9 if number == 3 else 1))
    intake.part(2, 3, "and small", whole="8")

    assert 1 == intake.overdue()
    assert [("my plants are yellow ... what can I do?", True)] * 2 == intake.stored


def test_an_incomplete_text_is_answered_and_says_so(intake: Intake) -> None:
    """It is read like any other, and the record says what is missing."""
    intake.part(1, 2, "HELP ")
    intake.village.clock.advance(timedelta(minutes=10))
    intake.village.work_through()

    row = intake.village.row("SELECT state, read_json FROM inbound")
    assert "read" == row["state"]
    assert "parts of it never came" in str(row["read_json"])


@settings(
    max_examples=times(25, each=15),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    deadline=None,
)
@given(st.permutations([(NEEMA, 1), (NEEMA, 2), (NEEMA, 3), (JUMA, 1), (JUMA, 2), (JUMA, 3)]), st.data())
def test_parts_of_two_senders_never_mix(
    intake: Intake, order: list[tuple[str, int]], data: st.DataObject
) -> None:
    """Two phones under one reference, in any order, give two texts, each of one phone's parts only."""
    before = len(intake.stored)
    whole = f"w{before}-{data.draw(st.integers(0, 255))}"
    for source, number in order:
        intake.part(number, 3, f"{'n' if source == NEEMA else 'j'}{number}", whole=whole, source=source)

    new = intake.stored[before:]
    assert {("n1n2n3", False), ("j1j2j3", False)} == set(new)
    assert 2 == len(new)


def test_a_reference_that_comes_round_again_is_another_text(intake: Intake) -> None:
    """References of eight bits repeat: after ten minutes, or with other words in the same place, it is a new text."""
    intake.part(1, 2, "first ")
    intake.part(1, 2, "second ")
    intake.part(2, 2, "text")
    intake.village.clock.advance(timedelta(minutes=1))
    intake.part(1, 2, "third ")
    intake.village.clock.advance(timedelta(minutes=10))
    intake.part(2, 2, "of the fourth")
    intake.village.clock.advance(timedelta(minutes=10))
    intake.overdue()

    assert [
        ("first  ...", True),
        ("second text", False),
        ("third  ...", True),
        ("... of the fourth", True),
    ] == intake.stored


def test_references_of_other_lengths_are_apart(intake: Intake) -> None:
    """The same reference for a text of two parts and one of three means two texts."""
    intake.part(1, 2, "a")
    intake.part(1, 3, "x")
    intake.part(2, 2, "b")

    assert [("ab", False)] == intake.stored


@pytest.mark.parametrize("ref", ["", "part"], ids=["without reference", "with reference"])
def test_a_part_that_comes_twice_is_one_part(intake: Intake, ref: str) -> None:
    """Handed over again, a part changes nothing, before the text is whole or afterwards."""
    pieces = {1: "har", 2: "vest 4"}
    taken = [
        intake.part(number, 2, pieces[number], ref=ref and f"{ref}-{number}") for number in (1, 1, 2, 2, 1)
    ]
    intake.village.clock.advance(timedelta(minutes=10))

    assert [True, False, True, False, False] == taken
    assert 0 == intake.overdue()
    assert [("harvest 4", False)] == intake.stored


def test_a_part_handed_over_under_another_reference_is_one_part(intake: Intake) -> None:
    """A gateway that names a part anew has it held once: the same words in the same place of the same text."""
    taken = [intake.part(1, 2, "har", ref="first"), intake.part(1, 2, "har", ref="second")]
    intake.part(2, 2, "vest 4", ref="third")

    assert [True, False] == taken
    assert [("harvest 4", False)] == intake.stored


def test_a_long_text_handed_over_again_later_is_one_text(intake: Intake) -> None:
    """A gateway without references that stamps parts anew is known by the words; after two minutes they are new."""
    for then_wait in (119, 2, 0):
        for number, piece in ((1, "har"), (2, "vest 4")):
            intake.part(number, 2, piece, ref="")
        intake.village.clock.advance(timedelta(seconds=then_wait))

    assert [("harvest 4", False)] * 2 == intake.stored


@pytest.mark.parametrize("text", ["\x00nul", "\ud83c", "a\u202eb", "\x1b[31m"], ids=repr)
def test_no_part_is_too_odd_to_hold(intake: Intake, text: str) -> None:
    """What no database could hold as text is held as bytes."""
    intake.part(1, 2, text)
    intake.part(2, 2, " harvest 4")

    assert [(clean(f"{text} harvest 4"), False)] == intake.stored


def test_halves_of_a_character_meet_again(intake: Intake) -> None:
    """A character that was cut in two between parts is whole in the text."""
    intake.part(1, 2, "fruit \ud83c")
    intake.part(2, 2, "\udf53")

    assert [("fruit \U0001f353", False)] == intake.stored


FORMS = (
    "+255621234501",
    "0621234501",
    "255621234501",
    "00255621234501",
    "+255 621 234 501",
    "(0621) 234-501",
)


def test_one_number_in_every_form_is_one_phone(intake: Intake) -> None:
    """However a gateway writes a number, it is the same farmer."""
    for form in FORMS:
        intake.text(f"from {form}", source=form)

    assert len(FORMS) == len(intake.stored)
    assert 1 == intake.village.row("SELECT count(*) AS phones FROM phone")["phones"]


@pytest.mark.parametrize(
    "text",
    ["x" * 10_240, "\u00e9" * 10_240, "\U0001f353" * 5_000, ""],
    ids=["ten kilobytes", "two octets each", "emoji", "empty"],
)
def test_a_text_of_any_length_is_kept_to_1600_characters(intake: Intake, text: str) -> None:
    """What is read is bounded, what came is kept, and the record of a long one says that it was cut."""
    intake.text(text)
    intake.village.work_through()

    row = intake.village.row("SELECT text, raw, read_json, replied FROM inbound")
    raw = row["raw"]
    assert isinstance(raw, bytes | memoryview)
    assert min(len(text), LONGEST) == len(str(row["text"]))
    assert text.encode() == bytes(raw)
    assert (len(text) > LONGEST) == ("longer than 1600 letters" in str(row["read_json"]))
    assert "unparsed" == row["replied"]


@settings(
    max_examples=times(60, each=15),
    suppress_health_check=[HealthCheck.function_scoped_fixture],
    deadline=None,
)
@given(st.text(max_size=200) | st.text(st.characters(categories=["Cs", "Cc", "Cf", "Mn"]), max_size=40))
def test_any_text_is_stored_and_none_trips_us(intake: Intake, text: str) -> None:
    """Whatever characters come, they are stored, cleaned and answered or left, and nothing is set aside."""
    assert intake.text(text)
    intake.village.receiver.answer_all()

    row = intake.village.row("SELECT state, text FROM inbound ORDER BY id DESC LIMIT 1")
    assert "read" == row["state"]
    assert clean(text) == row["text"]


def test_the_same_text_without_a_reference_is_one_for_two_minutes(intake: Intake) -> None:
    """Handed over again it is the same text; later it is a new one, and from another phone always."""
    taken = [intake.text("harvest 4", ref="") for _ in range(2)]
    other = intake.text("harvest 4", ref="", source=JUMA)
    intake.village.clock.advance(timedelta(seconds=121))

    assert [True, False] == taken
    assert other
    assert intake.text("harvest 4", ref="")
