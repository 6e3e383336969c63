"""What a meaning is made of: a text with a command in it."""

from collections.abc import Mapping
from dataclasses import dataclass

from flows.inputs import Words
from flows.reader.commands import Found
from flows.reader.scan import Scan


@dataclass(frozen=True, kw_only=True)
class Given:
    """What a meaning is made of.

    Attributes:
        scan: the text taken apart.
        found: the command in it.
        districts: the programme's districts.
        jobs: what each job of the farmer's list is called, by its place.
        why: the record of steps, to be added to.
    """

    scan: Scan
    found: Found
    districts: tuple[str, ...]
    jobs: Mapping[int, tuple[str, ...]]
    why: list[str]

    def sentence(self, reason: str) -> Words:
        """Return the text as words for a person, noting why it is no command."""
        self.why.append(reason)
        return Words(text=self.scan.shown, question=self.scan.question)
