"""Where officers sign in from: a place is a browser in a network, and one not seen before is told.

The record gets a row, the officer a line on their account page, and administrators one on Today: whoever guesses a
password comes from elsewhere. A place is known by keyed digests for as long as there is the officer.
"""

import ipaddress
from datetime import datetime, timedelta
from typing import Final

from service.core.staff import Officer
from service.core.staff_ports import StaffWork
from service.use_cases.audit import note

# So long a new place stands on the pages.
TOLD_FOR: Final = timedelta(days=7)
# Subscribers are moved about within such a network; an address of its own would make every morning a new place.
_NETWORK_BITS: Final = {4: 24, 6: 64}


def place_of(address: str, browser: str) -> str:
    """Return one word for a browser in a network; a browser's versions do not count, as they change by themselves."""
    kind = "".join(char for char in browser if char.isalpha()).casefold()
    return f"{_network(address)} {kind}"


def _network(address: str) -> str:
    try:
        found = ipaddress.ip_interface(address)
    except ValueError:
        return address
    return str(ipaddress.ip_network((found.ip, _NETWORK_BITS[found.version]), strict=False))


def see_place(work: StaffWork, officer: Officer, address: str, browser: str, now: datetime) -> None:
    """Keep where an officer signs in from; the record says so if it is a new place. It does not commit."""
    if work.logins.see_place(officer.id, place_of(address, browser), now):
        note(work, officer, "officer.new_place", f"officer:{officer.id}", {}, at=now)
