"""Words that call for safety before anything else."""

from dataclasses import dataclass
from enum import StrEnum


class Harm(StrEnum):
    """What has befallen somebody: first aid differs."""

    POISON = "poison"
    INJURY = "injury"


@dataclass(frozen=True, kw_only=True)
class Emergency:
    """Words of poisoning, injury or fainting stand in `text`; safety answers first."""

    text: str
    harm: Harm = Harm.POISON


@dataclass(frozen=True, kw_only=True)
class Distress:
    """Words of self-harm stand in `text`; a person has to answer."""

    text: str
