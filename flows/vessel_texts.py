"""Texts about what fruit is picked into."""

from typing import Final

from flows.promised import Kind, Text
from flows.vessels import Vessel

VESSEL_TEXTS: Final[dict[str, Text]] = {
    "vessel_ask": Text(values="vessel"),
    "vessel_noted": Text(values="vessel kg"),
    "vessel_unlikely": Text(values="vessel"),
    "harvest_noted_in": Text(values="name kg date vessel count kg_1 total"),
    **{f"vessel.{one}": Text(kind=Kind.WORDS, at_most=10) for one in Vessel},
}
