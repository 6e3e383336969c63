"""What single settings may be, beyond their type; each refusal ends the sentence that `service.settings` begins."""

import ipaddress
import re
from functools import cache
from typing import Annotated, Final
from zoneinfo import available_timezones

import phonenumbers
from babel.numbers import list_currencies
from pydantic import AfterValidator, BeforeValidator

# The names are gathered from hundreds of files.
_zones: Final = cache(available_timezones)
_ONE_NUMBER: Final = re.compile(r"\+?[0-9](?:[ -]?[0-9])+")


def _zone_exists(value: str) -> str:
    if value not in _zones():
        raise ValueError("is no IANA time zone: write one like Africa/Dar_es_Salaam")
    return value


def _is_an_address(value: str) -> str:
    if value:
        ipaddress.ip_address(value)
    return value


def _region_exists(value: str) -> str:
    if value.upper() not in phonenumbers.SUPPORTED_REGIONS:
        raise ValueError("is no country with phone numbers: write two letters like TZ")
    return value.upper()


def _currency_exists(value: str) -> str:
    if value and value.upper() not in list_currencies():
        raise ValueError("is no currency: write its three letters like TZS")
    return value.upper()


def _digits_as_text(value: object) -> object:
    """Take a number that was written without quotes for what it is: figures to be dialled."""
    return str(value) if isinstance(value, int) and not isinstance(value, bool) else value


def _is_one_number(value: str) -> str:
    if value and not _ONE_NUMBER.fullmatch(value):
        raise ValueError("write one number, in figures, as it is dialled")
    return value


Zone = Annotated[str, AfterValidator(_zone_exists)]
Region = Annotated[str, AfterValidator(_region_exists)]
CurrencyCode = Annotated[str, AfterValidator(_currency_exists)]
Address = Annotated[str, AfterValidator(_is_an_address)]
Dialled = Annotated[str, BeforeValidator(_digits_as_text)]
OneNumber = Annotated[Dialled, AfterValidator(_is_one_number)]
