"""Texts about water: what plants take today, cans and drip, and what a rain gauge held."""

from collections.abc import Mapping
from typing import Final

from flows.placeholders import FULL_DATE
from flows.promised import Filling, Kind, Rule, Text

_GAUGE: Final[Mapping[str, Filling]] = {"mm": "299.5"}
_WITH_YEAR: Final[Mapping[str, Filling]] = {"date": FULL_DATE}
_OF_WATER: Final = {Rule.SAFETY: "litres of water for plants, and no dose of anything"}
_LONGEST_REMARK: Final = 120

WATER_TEXTS: Final[dict[str, Text]] = {
    "water_today": Text(values="name each litres n cans size least remarks", parts=2, waived=_OF_WATER),
    "water_today_drip": Text(values="name each litres n least remarks", parts=2, waived=_OF_WATER),
    "water_today_minutes": Text(values="name each minutes size least remarks", parts=2, waived=_OF_WATER),
    "water_enough": Text(values="name mm", longest=_GAUGE),
    "water_ahead": Text(values="name date", longest=_WITH_YEAR),
    "water_none": Text(),
    "can_noted": Text(values="size", waived=_OF_WATER),
    "drip_noted": Text(values="size", waived=_OF_WATER),
    "water.finger": Text(values="mm", kind=Kind.WORDS, at_most=_LONGEST_REMARK, longest=_GAUGE),
    "water.assumed": Text(values="things", kind=Kind.WORDS, at_most=_LONGEST_REMARK),
    "sky.forecast": Text(values="degrees", kind=Kind.WORDS, at_most=30),
    "sky.measured": Text(values="degrees", kind=Kind.WORDS, at_most=30),
    "assumed.usual": Text(values="elevation", kind=Kind.WORDS, at_most=60),
    "assumed.bare": Text(kind=Kind.WORDS, at_most=24),
    "assumed.beds": Text(kind=Kind.WORDS, at_most=24),
    "rain_noted": Text(values="mm date advice", longest=_GAUGE),
    "rain_noted_old": Text(values="mm date", longest=_GAUGE),
    "rain_ask": Text(),
    "rain_no_day": Text(),
    "rain_unlikely": Text(),
    "rain.dry": Text(kind=Kind.WORDS, at_most=_LONGEST_REMARK),
    "rain.covered": Text(kind=Kind.WORDS, at_most=_LONGEST_REMARK),
    "rain.some": Text(kind=Kind.WORDS, at_most=_LONGEST_REMARK),
    "rain.enough": Text(kind=Kind.WORDS, at_most=_LONGEST_REMARK),
    "undone_rain": Text(values="mm date", longest=_GAUGE),
}
