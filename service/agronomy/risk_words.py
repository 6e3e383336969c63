"""What a level of a hazard asks of people, in words for officers; the levels themselves say only which is graver.

Where something can be done beforehand the words are of that; diseases, and what has happened already, want a look at
the plants, and never a spray by themselves.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from service.agronomy.risk import Hazard, Level

_DO: Final = {Level.WATCH: "prepare", Level.HIGH: "act", Level.SEVERE: "act first"}
_LOOK: Final = {Level.WATCH: "look", Level.HIGH: "look soon", Level.SEVERE: "look first"}
_WORDS: Final[Mapping[str, Mapping[Level, str]]] = MappingProxyType(
    {
        Hazard.FROST: _DO,
        Hazard.HEAVY_RAIN: _DO,
        # Hail that has fallen is the gravest: fruit and leaves are wounded, and rot follows.
        Hazard.HAIL: {**_DO, Level.SEVERE: "look first"},
        # Hot days have spoiled flowers already; extreme heat to come leaves time for water and shade.
        Hazard.HEAT: {**_LOOK, Level.HIGH: "prepare"},
        Hazard.GREY_MOULD: _LOOK,
        Hazard.ANTHRACNOSE: _LOOK,
        Hazard.MILDEW: _LOOK,
        Hazard.PESTS: _LOOK,
    }
)
_NOTHING: Final = {Level.UNKNOWN: "not known", Level.NONE: "nothing to do"}


def to_do(hazard: str, level: int) -> str:
    """Return what a level of a hazard asks for: prepare, act, look soon."""
    return {**_NOTHING, **_WORDS[hazard]}[Level(level)]
