from datetime import UTC, datetime
from typing import Any

import pytest

from service.core.gateway import MOST_PARTS, InboundText, Limits, OutgoingText, PartOf

NOON = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
GOOD: dict[str, Any] = {
    "our_ref": "r-1",
    "destination": "+255621234567",
    "text": "Palizi leo.",
    "valid_until": NOON,
}

BAD = {
    "no reference": ({"our_ref": ""}, "our_ref"),
    "national number": ({"destination": "0621234567"}, "E.164"),
    "number with spaces": ({"destination": "+255 621 234 567"}, "E.164"),
    "sixteen digits": ({"destination": "+2556212345678901"}, "E.164"),
    "country code beginning with zero": ({"destination": "+055621234567"}, "E.164"),
    "arabic digits": ({"destination": "+٢٥٥٦٢١٢٣٤٥٦٧"}, "E.164"),
    "line end after the number": ({"destination": "+255621234567\n"}, "E.164"),
    "half a surrogate pair": ({"text": "\ud83c"}, "surrogate"),
    "no zone": ({"valid_until": NOON.replace(tzinfo=None)}, "zone"),
}


@pytest.mark.parametrize(("change", "said"), BAD.values(), ids=BAD.keys())
def test_a_text_no_network_could_carry_cannot_be_built(change: dict[str, Any], said: str) -> None:
    """Adapters may trust every text they are given; the error never repeats the number."""
    with pytest.raises(ValueError, match=said) as caught:
        OutgoingText(**{**GOOD, **change})

    assert "621" not in str(caught.value)


def test_numbers_and_texts_do_not_show_in_a_repr() -> None:
    """Whatever ends in a log or a traceback names a text by its reference alone."""
    inbound = InboundText(
        event_id="e-1",
        message_ref="m-1",
        source="+255621234567",
        destination="15055",
        text="siri",
        received_at=NOON,
    )
    seen = repr(OutgoingText(**GOOD)) + repr(inbound)

    assert "r-1" in seen
    assert "m-1" in seen
    assert not [secret for secret in ("621234567", "Palizi", "siri") if secret in seen]


@pytest.mark.parametrize(("per_second", "window"), [(0.0, 1), (-1.0, 1), (1.0, 0)])
def test_limits_let_something_through(per_second: float, window: int) -> None:
    """Limits with which the outbox would stand still for ever are a mistake in the settings."""
    with pytest.raises(ValueError, match="nothing through"):
        Limits(per_second=per_second, window=window)


@pytest.mark.parametrize(
    ("number", "total", "can_be"),
    [
        (0, 2, False),
        (1, 1, True),
        (2, 2, True),
        (3, 2, False),
        (MOST_PARTS, MOST_PARTS, True),
        (1, MOST_PARTS + 1, False),
    ],
)
def test_a_part_belongs_to_a_whole(number: int, total: int, *, can_be: bool) -> None:
    """A gateway that numbers parts in a way nobody can is told so, before they are put together."""
    if can_be:
        assert total == PartOf(ref="r-1", number=number, total=total).total
    else:
        with pytest.raises(ValueError, match=f"part {number} of {total} cannot be"):
            PartOf(ref="r-1", number=number, total=total)
