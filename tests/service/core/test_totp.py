"""The second factor's digits, held against the published vectors."""

from datetime import UTC, datetime, timedelta
from urllib.parse import parse_qs, urlsplit

import pytest

from service.core.totp import counter_at, digits_at, matching_counter, secret_text
from service.web.account.otpauth import secret_address

# The secret of both RFCs' test vectors.
SECRET = b"12345678901234567890"
NOW = datetime(2026, 3, 2, 9, 0, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("counter", "digits"),
    list(
        enumerate(
            [
                "755224",
                "287082",
                "359152",
                "969429",
                "338314",
                "254676",
                "287922",
                "162583",
                "399871",
                "520489",
            ]
        )
    ),
)
def test_digits_of_a_counter(counter: int, digits: str) -> None:
    """RFC 4226, appendix D: the first ten values of HOTP."""
    assert digits == digits_at(SECRET, counter)


@pytest.mark.parametrize(
    ("seconds", "digits"),
    [
        (59, "94287082"),
        (1111111109, "07081804"),
        (1111111111, "14050471"),
        (1234567890, "89005924"),
        (2000000000, "69279037"),
        (20000000000, "65353130"),
    ],
)
def test_digits_of_an_instant(seconds: int, digits: str) -> None:
    """RFC 6238, appendix B: eight digits with SHA-1 at six instants."""
    counter = counter_at(datetime.fromtimestamp(seconds, tz=UTC))

    assert digits == digits_at(SECRET, counter, 8)


@pytest.mark.parametrize(
    ("late", "step"),
    [(-31, None), (-30, 0), (0, 0), (29, 0), (59, 0), (60, None)],
    ids=["two steps early", "a step early", "now", "same step", "a step late", "two steps late"],
)
def test_one_step_either_way_is_taken(late: int, step: int | None) -> None:
    """Digits hold a step longer and a step earlier than their own, and name the step they are of."""
    typed = digits_at(SECRET, counter_at(NOW))
    found = matching_counter(SECRET, f" {typed[:3]} {typed[3:]} ", NOW + timedelta(seconds=late))

    assert (None if step is None else counter_at(NOW)) == found


@pytest.mark.parametrize("typed", ["", "000000", "12345", "é23456", "0" * 1000], ids=repr)
def test_other_digits_are_none(typed: str) -> None:
    """Whatever else is typed is no step's."""
    assert matching_counter(SECRET, typed, NOW) is None


def test_secret_is_written_for_an_app() -> None:
    """In base 32 (RFC 4648) by hand, and as an address with programme and name that survive any letters."""
    address = urlsplit(secret_address(SECRET, officer="Grace: Ö", programme="Zaruvi Berry"))

    assert "GEZD GNBV GY3T QOJQ GEZD GNBV GY3T QOJQ" == secret_text(SECRET)
    assert ("otpauth", "totp", "/Zaruvi%20Berry:Grace%3A%20%C3%96") == (
        address.scheme,
        address.netloc,
        address.path,
    )
    assert {"secret": ["GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"], "issuer": ["Zaruvi Berry"]} == parse_qs(
        address.query
    )
