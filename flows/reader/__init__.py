"""The reader: a farmer's text in, its meaning out, by rules and tables only."""

from flows.reader.pack import Intent, PackError
from flows.reader.packs import Packs, load_packs
from flows.reader.read import read
from flows.reader.subject import Reading, Situation
from flows.slots import Slots

__all__ = ["Intent", "PackError", "Packs", "Reading", "Situation", "Slots", "load_packs", "read"]
