"""Phone numbers: read once at the edge, then a value that never shows itself in full."""

from dataclasses import dataclass

import phonenumbers
from phonenumbers import NumberParseException, PhoneNumberFormat, PhoneNumberType

_TEXTABLE = frozenset({PhoneNumberType.MOBILE, PhoneNumberType.FIXED_LINE_OR_MOBILE})

_FEWEST_DIGITS = 7


class BadNumber(ValueError):
    """What was given is no phone number that can be texted; the message says what to give instead."""


@dataclass(frozen=True, slots=True)
class PhoneNumber:
    """A mobile number in E.164 form, with the region its text was read in."""

    e164: str
    region: str

    @property
    def last3(self) -> str:
        """Return the last three digits, the only ones that screens show."""
        return self.e164[-3:]

    @property
    def masked(self) -> str:
        """Return the number as screens and logs may show it."""
        return f"+...{self.last3}"

    def __repr__(self) -> str:
        """Never show the number in a traceback or a log."""
        return f"PhoneNumber({self.masked})"

    __str__ = __repr__


def is_short(source: str) -> bool:
    """Return whether a sender is a short code or a name: neither is a phone, although libraries may make one of it.

    The shortest national numbers have seven digits (ITU-T E.164 leaves room for fewer; short codes have up to six).
    """
    digits = sum(char.isdigit() for char in source)
    return digits < _FEWEST_DIGITS or any(char.isalpha() for char in source)


def read_number(text: str, region: str) -> PhoneNumber:
    """Read `text` as a mobile number, national forms being those of `region` (ISO 3166, two letters).

    The region comes from the gateway or the programme and is never guessed: 0712345678 is a valid mobile number in
    two neighbouring countries. A leading 00 is the international prefix here, although phonenumbers would read it
    by each country's own dialling rule. A letter O typed for a zero is refused rather than dropped.

    Raises:
        BadNumber: with one sentence for the person who typed it.
    """
    plain = text.strip()
    if any(char.isalpha() for char in plain):
        raise BadNumber("A phone number has digits only: write it like +255 621 234 567.")
    if plain.startswith("00"):
        plain = "+" + plain[2:]
    try:
        parsed = phonenumbers.parse(plain, region)
        if not phonenumbers.is_valid_number(parsed):
            # The country code is often typed without its plus.
            parsed = phonenumbers.parse("+" + plain.lstrip("+"), None)
    except NumberParseException as error:
        raise BadNumber("That is not a phone number: write it like +255 621 234 567.") from error
    if not phonenumbers.is_valid_number(parsed):
        raise BadNumber("That is not a number in use: check the digits, with the country code first.")
    if phonenumbers.number_type(parsed) not in _TEXTABLE:
        raise BadNumber("That number cannot receive texts: give a mobile number.")
    found_region = phonenumbers.region_code_for_number(parsed) or region
    return PhoneNumber(phonenumbers.format_number(parsed, PhoneNumberFormat.E164), found_region)
