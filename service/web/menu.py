"""The menu: one row of pages, and the others behind "More".

The row has room for three pages on the narrowest screen and for two more on a wide one; a page that is not told to
stand in it stands behind "More". What is in the row on wide screens only stands in the page twice, and the style sheet
shows one of the two: so it works without a script.
"""

from dataclasses import dataclass
from typing import Final

from service.core.rights import Permission
from service.core.staff import Officer
from service.web.house import the_house


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """A page of the menu.

    Attributes:
        key: by which a page says that it is the one that is open.
        needs: the right it needs.
        first: whether it stands in the row of the narrowest screen.
        wide: whether it stands in the row of a wide one.
        demo: whether it is there in a demo only.
    """

    key: str
    path: str
    words: str
    needs: Permission
    first: bool = False
    wide: bool = False
    demo: bool = False


_ENTRIES: Final = (
    Entry(key="today", path="/", words="Today", needs=Permission.SEE, first=True),
    Entry(key="farmers", path="/farmers", words="Farmers", needs=Permission.SEE, first=True),
    Entry(key="alerts", path="/alerts", words="Alerts", needs=Permission.ALERT, first=True),
    Entry(key="collections", path="/collections", words="Collections", needs=Permission.COLLECT),
    Entry(key="report", path="/report", words="Report", needs=Permission.SEE, wide=True),
    Entry(key="weather", path="/weather", words="Weather", needs=Permission.ALERT, wide=True),
    Entry(key="prices", path="/prices", words="Prices", needs=Permission.SEE),
    Entry(key="doubts", path="/doubts", words="In doubt", needs=Permission.ALERT),
    Entry(key="practice", path="/practice", words="Practice phones", needs=Permission.ADMINISTER, demo=True),
    Entry(key="clock", path="/clock", words="Clock", needs=Permission.ADMINISTER, demo=True),
)


def menu(officer: Officer) -> tuple[Entry, ...]:
    """Return the pages that an officer may open."""
    demo = the_house().settings.demo
    return tuple(entry for entry in _ENTRIES if officer.may(entry.needs) and (demo or not entry.demo))


def in_doubt(officer: Officer) -> int:
    """Return how many texts wait on the page of those in doubt: in doubt, set aside unread, or failed."""
    with the_house().database.look() as work:
        doubts = work.doubts.count(officer.districts, looked_at=False)
        return doubts + work.stuck.count(officer.districts)
