"""Words that call for safety before anything else."""

from dataclasses import dataclass
from enum import StrEnum


class Harm(StrEnum):
    """What has befallen somebody, the gravest first: where several are told, the first one's aid comes."""

    POISON = "poison"
    FIRE = "fire"
    SHOCK = "shock"
    """Of electric current."""
    SNAKE = "snake"
    INJURY = "injury"
    """A wound, or blood."""
    BURNS = "burns"
    HEAT = "heat"
    """Fainting, or too much sun."""
    UNCLEAR = "unclear"
    """Any other harm: what is told says too little, or there is no aid of its own."""


@dataclass(frozen=True, kw_only=True)
class Emergency:
    """Words of harm to somebody's body stand in `text`; safety answers first."""

    text: str
    harm: Harm = Harm.POISON


@dataclass(frozen=True, kw_only=True)
class Distress:
    """Words of self-harm stand in `text`; a person has to answer."""

    text: str
