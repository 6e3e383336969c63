"""Stories of texts that come twice, hold what no farmer typed, or trip the service itself."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import timedelta

import pytest

from flows.catalogue import Catalogue, load_catalogue
from flows.wording import Wording
from scheduler.receiver import Receiver
from tests.village import Phone, Village


@pytest.fixture
def phone(village: Village) -> Phone:
    """The phone of a farmer with 400 plants, well after the first fruit."""
    phone = village.phone()
    phone.joins(days_ago=200)
    return phone


def test_the_same_reference_three_times_is_one_text(village: Village, phone: Phone) -> None:
    """A gateway that hands a text over again causes neither a second weight nor a second answer."""
    said = len(phone.texts)

    taken = [village.deliver(phone, "harvest 4", "ref-1") for _ in range(3)]
    village.work_through()
    taken.append(village.deliver(phone, "harvest 4", "ref-1"))
    village.work_through()

    assert [True, False, False, False] == taken
    assert [{"grams": 4000}] == village.rows("SELECT grams FROM harvest")
    assert said + 1 == len(phone.texts)


def test_two_references_are_two_texts(village: Village, phone: Phone) -> None:
    """A farmer who texts the same again has a reason; the second weight is asked about."""
    for ref in ("ref-1", "ref-2"):
        village.deliver(phone, "harvest 4", ref)
        village.work_through()

    assert "has 4 kg already" in phone.last


@pytest.mark.parametrize(("seconds", "taken"), [(119, False), (121, True)], ids=["within", "after"])
def test_the_same_text_without_a_reference(
    village: Village, phone: Phone, seconds: int, *, taken: bool
) -> None:
    """Where a gateway gives no reference, the same text within 120 seconds is the same text."""
    village.deliver(phone, "harvest 4", "")
    village.clock.advance(timedelta(seconds=seconds))

    assert taken == village.deliver(phone, "harvest 4", "")
    assert village.deliver(phone, "harvest 5", "")


@pytest.mark.parametrize(
    "words",
    [
        pytest.param("harv\x00est 4", id="nul"),
        pytest.param("harvest\u202e 4", id="right-to-left-override"),
        pytest.param("har\u200bvest 4", id="zero-width-space"),
        pytest.param("\ufeffharvest 4\r\n", id="byte-order-mark-and-line-end"),
        pytest.param("harvest 4 \U0001f353\U0001f353", id="emoji"),
        pytest.param("harvest \uff14", id="full-width-digit"),
    ],
)
def test_marks_that_nobody_sees_change_nothing(village: Village, phone: Phone, words: str) -> None:
    """Characters that harm a screen are taken away before reading; the bytes that came are kept."""
    phone.says(words)

    assert [{"grams": 4000}] == village.rows("SELECT grams FROM harvest")
    raw = village.row("SELECT raw FROM inbound ORDER BY id DESC LIMIT 1")["raw"]
    assert isinstance(raw, bytes | memoryview)
    assert words.encode() == bytes(raw)


@pytest.mark.parametrize(
    "words",
    [
        pytest.param("x" * 10_000, id="ten-kilobytes"),
        pytest.param("\U0001f353" * 500, id="emoji-only"),
        pytest.param("'; DROP TABLE farmer; --", id="sql"),
        pytest.param("' OR '1'='1", id="sql-condition"),
        pytest.param("{svc} {name} %s %(name)s ${x}", id="placeholders"),
        pytest.param("<script>alert(1)</script>", id="markup"),
        pytest.param("\ud83c", id="half-a-character"),
        pytest.param("   ", id="blank"),
        pytest.param("\x00", id="nothing-but-nul"),
        pytest.param("9" * 400, id="digits"),
        pytest.param("\u0627\u0644\u0633\u0644\u0627\u0645", id="another-script"),
    ],
)
def test_what_no_command_is_is_answered_and_harms_nothing(village: Village, phone: Phone, words: str) -> None:
    """Whatever comes is stored, answered in letters that cost one part, and moves nothing."""
    village.deliver(phone, words, "rough")
    village.work_through()

    assert "did not understand" in phone.last
    assert 1 == phone.received[-1].parts
    assert [{"name": "Neema", "state": "active"}] == village.rows("SELECT name, state FROM farmer")
    assert [{"state": "read"}] == village.rows("SELECT DISTINCT state FROM inbound")


@pytest.mark.parametrize("name", ["{svc}", "{secret}", "{{7*7}}", "%s", "$name"])
def test_a_name_is_never_filled_in(village: Village, name: str) -> None:
    """A placeholder typed as a name stays what it is, or is asked for again; it is never read as one of ours."""
    phone = village.phone()
    for words in ("JOIN", name, name, "Neema", "200", "12/10/2026", "Zaruvi", "yes"):
        phone.says(words)

    text = "\n".join(phone.texts)

    assert "Welcome" in text
    assert "49" not in text
    # Our own name stands where we put it: in the greeting, and once in each question for consent.
    ours = ("Zaruvi Berry Programme: strawberry advice by text", "may Zaruvi Berry Programme text you")
    assert text.count("Zaruvi Berry Programme") == sum(map(text.count, ours))


def test_each_text_keeps_why_it_was_read_so(village: Village, phone: Phone) -> None:
    """An officer can see the steps from the words to what was stored."""
    phone.says("nimevuna kilo 12 na nusu")

    row = village.row("SELECT read_json, farmer_id FROM inbound ORDER BY id DESC LIMIT 1")
    kept = str(row["read_json"])

    for part in ("harvest", "synonym", "12500 g", "the weight is kept", "SaveHarvest"):
        assert part in kept
    assert row["farmer_id"] == village.row("SELECT id FROM farmer")["id"]


@dataclass(frozen=True)
class StumblingCatalogue:
    """A catalogue that cannot say one text: a fault of ours, planted."""

    catalogue: Catalogue
    broken: str

    def render(self, text_id: str, language: str, values: Mapping[str, str | int]) -> str:
        """Render all texts but one."""
        if text_id == self.broken:
            raise LookupError(text_id)
        return self.catalogue.render(text_id, language, values)


def test_a_text_that_trips_us_is_set_aside_and_the_others_go_on(village: Village, phone: Phone) -> None:
    """After three tries it waits for a person; whatever it had begun is undone, and those behind it are answered."""
    catalogue = StumblingCatalogue(catalogue=load_catalogue(), broken="harvest_noted_first")
    tools = replace(village.tools, wording=Wording(catalogue))
    receiver = Receiver(village.database, tools, village.gateway, village.clock)
    village.deliver(phone, "harvest 4", "poison")
    village.deliver(phone, "total", "healthy")

    receiver.answer_all()
    village.sender.drain()

    rows = village.rows(
        "SELECT text, state, tries FROM inbound WHERE state <> 'read' OR text = 'total' ORDER BY id"
    )
    assert [("harvest 4", "corrupt", 3), ("total", "read", 0)] == [
        (row["text"], row["state"], row["tries"]) for row in rows
    ]
    assert [] == village.rows("SELECT id FROM harvest")
    assert "no weight is noted yet" in phone.last
