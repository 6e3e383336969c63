"""What a farmer can be understood to wish: how they are texted, and what becomes of what is kept."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, kw_only=True)
class Language:
    """The farmer wants another language; `chosen` is its code, None where it was not said which."""

    chosen: str | None = None


@dataclass(frozen=True, kw_only=True)
class Days:
    """The farmer wants other days for texts or for picking."""


@dataclass(frozen=True, kw_only=True)
class Pause:
    """The farmer wants no texts for a while; `until` is the day it ends, None where it was not said."""

    until: date | None = None


@dataclass(frozen=True, kw_only=True)
class Alerts:
    """The farmer wants officers' warnings, or wants them no more; other texts go on."""

    wanted: bool


@dataclass(frozen=True, kw_only=True)
class Who:
    """The farmer asks who it is that texts them."""


@dataclass(frozen=True, kw_only=True)
class Records:
    """The farmer asks what is kept of them, to see or to remove it."""


@dataclass(frozen=True, kw_only=True)
class WrongNumber:
    """Whoever has this number now is not the farmer we text."""
