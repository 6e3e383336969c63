"""Officers and their sessions as values."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final

from service.core.rights import ROLES, Permission, Role, needs_second_factor

IDLE: Final = timedelta(minutes=30)
LONGEST: Final = timedelta(hours=12)
# So long a form that met an ended session waits for its officer to sign in again.
FORM_KEPT: Final = timedelta(hours=1)
# A page writes "seen" at most this often, so that reading pages hardly ever waits for a writer. The idle time
# a person has is therefore between 25 and 30 minutes.
REFRESH: Final = timedelta(minutes=5)


@dataclass(frozen=True, kw_only=True, slots=True)
class Officer:
    """A person who may open the pages.

    Attributes:
        id: their row.
        name: as others see it.
        role: what they may do, see `service.core.rights`.
        districts: for whom; None means all districts there are and will be.
        language: that of the texts they get on their phone.
    """

    id: int
    name: str
    role: Role
    districts: frozenset[int] | None
    language: str = "en"

    def may(self, permission: Permission) -> bool:
        """Return whether their role allows it."""
        return permission in ROLES[self.role]

    def covers(self, district_id: int | None) -> bool:
        """Return whether a district is theirs; what belongs to no district is only for those who have all."""
        return self.districts is None or district_id in self.districts


class Lack(StrEnum):
    """What an officer has to set up before they may do anything else."""

    PASSWORD = "password"  # noqa: S105 - the name of what is lacking
    SECOND_FACTOR = "second_factor"


@dataclass(frozen=True, kw_only=True, slots=True)
class Account:
    """What an officer signs in with.

    Attributes:
        officer: whose it is.
        password_hash: None until a password was set.
        second_factor: the secret of the second factor, None where there is none.
    """

    officer: Officer
    password_hash: str | None = field(default=None, repr=False)
    second_factor: bytes | None = field(default=None, repr=False)

    @property
    def lacks(self) -> Lack | None:
        """What has to be set up first, if anything."""
        if self.password_hash is None:
            return Lack.PASSWORD
        if self.second_factor is None and needs_second_factor(self.officer.role):
            return Lack.SECOND_FACTOR
        return None


@dataclass(frozen=True, kw_only=True, slots=True)
class NewPlace:
    """An officer signed in from where they had not been before; where that was is not kept in clear."""

    officer: str
    at: datetime


@dataclass(frozen=True, kw_only=True, slots=True)
class KeptForm:
    """A form that was sent when its officer's session had ended.

    Attributes:
        page: the path of the page it stood on.
        action: the path it was sent to.
        fields: names and values as they were typed, in their order.
        with_file: whether a file was chosen in it, which is not kept.
    """

    page: str
    action: str
    fields: tuple[tuple[str, str], ...] = field(repr=False)
    with_file: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Session:
    """One officer on one browser; `csrf` is the secret that every form of theirs must bring back.

    Attributes:
        address: where the browser was when it signed in.
        browser: how it called itself.
        lacks: what its officer has to set up before anything else.
    """

    digest: bytes
    officer: Officer
    csrf: str
    began_at: datetime
    seen_at: datetime
    address: str = ""
    browser: str = ""
    lacks: Lack | None = None

    @property
    def handle(self) -> str:
        """Return a word that names the session on a page and opens nothing: the beginning of its digest."""
        return self.digest[:8].hex()

    def alive(self, now: datetime) -> bool:
        """Return whether the session still holds at `now`."""
        return now - self.seen_at < IDLE and now - self.began_at < LONGEST

    def wants_refresh(self, now: datetime) -> bool:
        """Return whether "seen" is old enough to be written anew."""
        return now - self.seen_at >= REFRESH
