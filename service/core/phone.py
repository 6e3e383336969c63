"""Phone numbers: read once at the edge, then a value that never shows itself in full."""

import unicodedata
from dataclasses import dataclass
from typing import Final

import phonenumbers
from phonenumbers import NumberParseException, PhoneNumberFormat, PhoneNumberType

# What people put between the groups of a number.
_BETWEEN_DIGITS: Final = frozenset(" -.()/\u2010\u2011\u2013")
_TEXTABLE: Final = frozenset({PhoneNumberType.MOBILE, PhoneNumberType.FIXED_LINE_OR_MOBILE})

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


def spaced(e164: str) -> str:
    """Return a number in E.164 form with its groups apart, as a person dials it."""
    return phonenumbers.format_number(phonenumbers.parse(e164), PhoneNumberFormat.INTERNATIONAL)


def is_short(source: str) -> bool:
    """Return whether a sender is a short code or a name: neither is a phone, although libraries may make one of it.

    The shortest national numbers have seven digits (ITU-T E.164 leaves room for fewer; short codes have up to six).
    """
    digits = sum(char.isdigit() for char in source)
    return digits < _FEWEST_DIGITS or any(char.isalpha() for char in source)


def read_number(text: str, region: str) -> PhoneNumber:
    """Read `text` as a mobile number, national forms being those of `region` (ISO 3166, two letters).

    The region comes from the gateway or the programme and is never guessed: 0621234567 is a valid mobile number in
    several countries. A leading 00 is the international prefix here, although phonenumbers would read it
    by each country's own dialling rule. A country code without its plus is understood for the region alone: read
    for any country, a mistyped number of one's own becomes somebody's on another continent. A letter O typed for
    a zero, or an extension, is refused rather than dropped.

    Raises:
        BadNumber: with one sentence for the person who typed it.
    """
    plain = _digits(text, region)
    try:
        parsed = phonenumbers.parse(plain, region)
        own_code = str(phonenumbers.country_code_for_region(region))
        if plain.startswith(own_code) and not phonenumbers.is_valid_number(parsed):
            parsed = phonenumbers.parse("+" + plain, None)
    except NumberParseException as error:
        raise BadNumber(f"That is not a phone number: write it like {_example(region)}.") from error
    if not phonenumbers.is_valid_number(parsed):
        raise BadNumber(
            f"That is not a phone number in use: check its digits, and write it like {_example(region)}."
        )
    if phonenumbers.number_type(parsed) not in _TEXTABLE:
        raise BadNumber("That number cannot receive texts: give a mobile number.")
    found_region = phonenumbers.region_code_for_number(parsed) or region
    return PhoneNumber(phonenumbers.format_number(parsed, PhoneNumberFormat.E164), found_region)


def _digits(text: str, region: str) -> str:
    """Return the digits of `text`, in whatever script they were typed, with a plus where one leads."""
    plain = "".join(
        str(unicodedata.decimal(char, char))
        for char in unicodedata.normalize("NFKC", text)
        if char not in _BETWEEN_DIGITS
    )
    digits = plain.removeprefix("+")
    # Whatever else stands there would be dropped in silence, or read as an extension.
    if not digits.isdecimal():
        raise BadNumber(f"A phone number has digits only: write it like {_example(region)}.")
    return "+" + digits[2:] if digits.startswith("00") else plain


def _example(region: str) -> str:
    """Return a number of the region that nobody has, as it is written."""
    example = phonenumbers.example_number_for_type(region, PhoneNumberType.MOBILE)
    if example is None:
        raise LookupError(f"{region} is no region with mobile numbers")
    return phonenumbers.format_number(example, PhoneNumberFormat.INTERNATIONAL)
