"""What the pages need of the running service, and how a view reaches it."""

from collections.abc import Mapping, Sequence
from typing import Final, Protocol, cast

from flask import current_app

from service.agronomy.calendar import Calendar
from service.bootstrap import PracticePhone
from service.clock import Clock
from service.core.staff_ports import Passwords
from service.db.work import Database, Work
from service.gateways.simulator_texts import PracticeNetwork
from service.ids import Ids
from service.settings import Settings
from service.use_cases.tools import Tools

# A unit of work as the pages have it is the whole one: they ask more of the database than any use case.
__all__ = ["House", "Renders", "Work", "keep_house", "the_house"]

_KEY: Final = "trussline_house"


class Renders(Protocol):
    """The catalogue, as far as the pages need it."""

    def render(self, text_id: str, language: str, values: Mapping[str, str | int]) -> str:
        """Return a text.

        Raises:
            LookupError: there is no such text.
        """
        ...


class House(Protocol):
    """The running service, as far as the pages need it."""

    @property
    def settings(self) -> Settings:
        """All settings."""
        ...

    @property
    def database(self) -> Database:
        """The database."""
        ...

    @property
    def real_clock(self) -> Clock:
        """Real time: sessions and signatures live in it."""
        ...

    @property
    def service_clock(self) -> Clock:
        """Service time: the farmers' calendar lives in it; in a demo it can be moved."""
        ...

    @property
    def ids(self) -> Ids:
        """Fresh row ids."""
        ...

    @property
    def calendar(self) -> Calendar:
        """The crop calendar."""
        ...

    @property
    def tools(self) -> Tools:
        """What every use case is handed."""
        ...

    @property
    def catalogue(self) -> Renders:
        """All texts."""
        ...

    @property
    def passwords(self) -> Passwords:
        """Hashes passwords."""
        ...

    @property
    def network(self) -> PracticeNetwork:
        """The phones' side of the simulated network."""
        ...

    @property
    def schema_head(self) -> str:
        """The name of the newest migration this version knows."""
        ...

    def practice_phones(self) -> Sequence[PracticePhone]:
        """Return the phones of the demo by slot; none outside a demo."""
        ...


def keep_house(extensions: dict[str, object], house: House) -> None:
    """Let the views of an app find `house`."""
    extensions[_KEY] = house


def the_house() -> House:
    """Return the service that the page being made belongs to."""
    return cast("House", current_app.extensions[_KEY])
