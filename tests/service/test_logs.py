"""Logs: one JSON object a line, and no phone number in it."""

import io
import json
from collections.abc import Iterator
from typing import Any

import pytest

from service.logs import logger, set_up
from tests.plain_logs import plain_logs


@pytest.fixture
def stream() -> Iterator[io.StringIO]:
    """Where logs go for one test."""
    stream = io.StringIO()
    set_up(stream)
    yield stream
    plain_logs()


def _lines(stream: io.StringIO) -> list[dict[str, Any]]:
    return [json.loads(line) for line in stream.getvalue().splitlines()]


def test_a_line_is_one_object(stream: io.StringIO) -> None:
    """Event, level, time and data stand in one line, whatever the data hold."""
    logger().info("tick", reminders=3, said="two\nlines")

    (line,) = _lines(stream)
    assert ("tick", "info", 3, "two\nlines") == (
        line["event"],
        line["level"],
        line["reminders"],
        line["said"],
    )
    assert line["timestamp"].endswith("Z")


def test_an_exception_keeps_its_trace_in_the_line(stream: io.StringIO) -> None:
    """What went wrong can be found without a second format."""
    _stumble("broken")

    (line,) = _lines(stream)
    assert ("error", "ValueError", "broken") == (
        line["level"],
        line["exception"][0]["exc_type"],
        line["exception"][0]["exc_value"],
    )


def _stumble(words: str, secret: str = "") -> None:
    """Log an exception raised by a function that holds `secret`."""
    try:
        _raise(words, secret)
    except ValueError:
        logger().exception("stumbled")


def _raise(words: str, secret: str) -> None:
    raise ValueError(words)


# The example mobile numbers that phonenumbers gives for TZ and DE, and an identifier that is none.
SHOWN = {
    "with-plus": ("+255621234567", "+...567"),
    "without-plus": ("4915123456789", "+...789"),
    "no-number": ("REF-1234", "REF-1234"),
    "short": ("15077", "15077"),
}


@pytest.mark.parametrize(("value", "shown"), SHOWN.values(), ids=SHOWN)
def test_numbers_are_masked(stream: io.StringIO, value: str, shown: str) -> None:
    """Should one slip into a value, only its last three digits are written."""
    logger().info("sent", to=value)

    assert shown == _lines(stream)[0]["to"]


@pytest.mark.parametrize(
    "sentence",
    ["no answer from +255621234567 yet", "0621 234 567 has no route", "tel:255621234567;x"],
    ids=["in-a-sentence", "spaced", "in-a-uri"],
)
def test_a_number_inside_a_sentence_is_masked(stream: io.StringIO, sentence: str) -> None:
    """An error's own words may repeat the number: it is masked there too."""
    logger().warning("refused", detail=sentence)

    assert "234" not in stream.getvalue().replace("timestamp", "")
    assert "567" in _lines(stream)[0]["detail"]


def test_a_number_in_an_exception_is_masked(stream: io.StringIO) -> None:
    """A driver's error may quote what it was given."""
    _stumble("bad value +255621234567")

    assert "621234567" not in stream.getvalue()


def test_a_trace_shows_no_variables(stream: io.StringIO) -> None:
    """The frames of an exception hold texts and keys, which are nobody's business."""
    _stumble("broken", secret="the text of a farmer")

    assert "the text of a farmer" not in stream.getvalue()
