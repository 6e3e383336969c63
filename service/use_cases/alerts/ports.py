"""A unit of work, as far as alerts need it."""

from typing import Protocol

from service.core.alert_ports import AlertRows, RecipientRows
from service.core.model import District
from service.core.people_ports import KnownNames
from service.core.ports import Audit
from service.core.wire_ports import Budget


class DistrictNames(Protocol):
    """The districts there are."""

    def districts(self) -> tuple[District, ...]:
        """Return all districts."""
        ...


class AlertWork(Protocol):
    """One transaction."""

    @property
    def alerts(self) -> AlertRows:
        """Alerts."""
        ...

    @property
    def recipients(self) -> RecipientRows:
        """Whom they go to."""
        ...

    @property
    def people(self) -> DistrictNames:
        """Districts."""
        ...

    @property
    def places(self) -> KnownNames:
        """Names that are no products."""
        ...

    @property
    def budget(self) -> Budget:
        """What may still be paid for."""
        ...

    @property
    def audit(self) -> Audit:
        """The record of what officers did."""
        ...

    def commit(self) -> None:
        """Keep what was done."""
        ...
