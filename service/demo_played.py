"""What is played through the service to make the demo: texts of its farmers, and deeds of its officers."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from service.bootstrap import House


@dataclass(frozen=True, kw_only=True, slots=True)
class DemoText:
    """What a farmer texted, and when.

    Attributes:
        at: the instant.
        number: the phone's number in E.164 form.
        words: the text.
        whom: what is answered when the phone serves several and the service asks for whom it is.
    """

    at: datetime
    number: str
    words: str
    whom: str

    def __repr__(self) -> str:
        """Never show the number."""
        return f"DemoText({self.at.isoformat()}, {self.words})"


@dataclass(frozen=True, kw_only=True, slots=True)
class DemoDeed:
    """What an officer or a clerk did on the pages, and when; afterwards what is due is sent."""

    at: datetime
    do: Callable[[House, datetime], None]


Played = DemoText | DemoDeed
