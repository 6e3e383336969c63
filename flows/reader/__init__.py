"""The reader: a farmer's text in, its meaning out, by rules and tables only."""

from flows.inputs import Slots
from flows.reader.pack import Intent, PackError
from flows.reader.packs import Packs, load_packs
from flows.reader.read import Reading, Situation, read

__all__ = ["Intent", "PackError", "Packs", "Reading", "Situation", "Slots", "load_packs", "read"]
