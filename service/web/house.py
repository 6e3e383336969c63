"""What the pages need of the running service, and how a view reaches it."""

from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager
from typing import Final, Protocol, cast

from flask import current_app

from service.agronomy.calendar import Calendar
from service.bootstrap import PracticePhone
from service.clock import Clock
from service.core.ports import Work as AnyWork
from service.core.staff_ports import Passwords
from service.db.queries.alerts import Alerts
from service.db.queries.audit import Audit
from service.db.queries.budget import Budget
from service.db.queries.changing import Changing
from service.db.queries.cohorts import Cohorts
from service.db.queries.console import Console
from service.db.queries.doubts import Doubts
from service.db.queries.editing import Editing
from service.db.queries.fields import Fields
from service.db.queries.inviting import Inviting
from service.db.queries.logins import Logins
from service.db.queries.metering import Metering
from service.db.queries.outbox import Outbox
from service.db.queries.people import People
from service.db.queries.places import Places
from service.db.queries.questions import Questions
from service.db.queries.reached import Reached
from service.db.queries.recipients import Recipients
from service.db.queries.reporting import Reporting
from service.db.queries.staff import Staff
from service.db.queries.stuck import Stuck
from service.gateways.simulator_texts import PracticeNetwork
from service.ids import Ids
from service.settings import Settings
from service.use_cases.tools import Tools

_KEY: Final = "trussline_house"


class Work(AnyWork, Protocol):
    """A unit of work, as far as the pages need it."""

    @property
    def console(self) -> Console:
        """What the pages show."""
        ...

    @property
    def metering(self) -> Metering:
        """What is measured."""
        ...

    @property
    def fields(self) -> Fields:
        """Plots and their weights, for forecasts."""
        ...

    @property
    def cohorts(self) -> Cohorts:
        """Farmers who began alike."""
        ...

    @property
    def reporting(self) -> Reporting:
        """What is reported."""
        ...

    @property
    def staff(self) -> Staff:
        """Officers and settings."""
        ...

    @property
    def editing(self) -> Editing:
        """What is asked of a plot before it is edited."""
        ...

    @property
    def changing(self) -> Changing:
        """How a farmer stands before something is changed."""
        ...

    @property
    def inviting(self) -> Inviting:
        """Whom officers have added and who has not answered."""
        ...

    @property
    def logins(self) -> Logins:
        """How officers sign in."""
        ...

    @property
    def audit(self) -> Audit:
        """The record of what officers did."""
        ...

    @property
    def alerts(self) -> Alerts:
        """Alerts."""
        ...

    @property
    def recipients(self) -> Recipients:
        """Whom alerts go to."""
        ...

    @property
    def reached(self) -> Reached:
        """Whom they reached, by name."""
        ...

    @property
    def people(self) -> People:
        """Districts, farmers and phones."""
        ...

    @property
    def places(self) -> Places:
        """Villages and groups."""
        ...

    @property
    def doubts(self) -> Doubts:
        """Texts in doubt."""
        ...

    @property
    def stuck(self) -> Stuck:
        """Texts that could not be read or sent."""
        ...

    @property
    def questions(self) -> Questions:
        """Questions and calls for help."""
        ...

    @property
    def outbox(self) -> Outbox:
        """Texts on their way out."""
        ...

    @property
    def budget(self) -> Budget:
        """What may still be paid for."""
        ...

    def commit(self) -> None:
        """Keep what was done."""
        ...


class Database(Protocol):
    """Opens units of work."""

    def work(self) -> AbstractContextManager[Work]:
        """Open one that may write."""
        ...

    def look(self) -> AbstractContextManager[Work]:
        """Open one that only reads."""
        ...


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
