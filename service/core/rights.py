"""Who may do what: four roles, each a row of permissions, and the districts they hold in.

A permission says what may be done, the districts say for whom. Both are needed, and what stands in no row is not
allowed. Nobody but an administrator reaches beyond their own districts.
"""

from collections.abc import Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Final


class Permission(StrEnum):
    """One thing that an officer may do within their districts."""

    SEE = "see"
    """Open the pages of farmers."""
    ANSWER = "answer"
    """Answer and close questions."""
    REGISTER = "register"
    """Add a farmer, who stays pending until they agree."""
    EDIT_FARMER = "edit_farmer"
    """Correct a farmer's name, language, place and number; pause and end their texts on their word."""
    EDIT_PLOT = "edit_plot"
    """Change planting date, plants and mulch of a plot; enter a weight that was told by voice and take it back."""
    ALERT = "alert"
    """Write an alert, send a pre-approved one, pause and cancel."""
    COLLECT = "collect"
    """Open the page of a collection day; enter what farmers bring, and take it back."""
    ARRANGE = "arrange"
    """Set a group's collection days, call them off and move them."""
    PAY = "pay"
    """See what farmers are owed, and mark it as paid."""
    APPROVE = "approve"
    """Be the second person for an alert that needs one."""
    ADMINISTER = "administer"
    """Officers, districts, settings and the record of what officers did."""


class Role(StrEnum):
    """What an officer is."""

    CLERK = "clerk"
    OFFICER = "officer"
    APPROVER = "approver"
    ADMINISTRATOR = "administrator"


_DAILY: Final = frozenset(
    {
        Permission.SEE,
        Permission.ANSWER,
        Permission.REGISTER,
        Permission.EDIT_FARMER,
        Permission.EDIT_PLOT,
        Permission.ALERT,
        Permission.COLLECT,
        Permission.ARRANGE,
        Permission.PAY,
    }
)

ROLES: Final[Mapping[Role, frozenset[Permission]]] = MappingProxyType(
    {
        # Whoever weighs at a collection sees those who bring, and nothing else of them.
        Role.CLERK: frozenset({Permission.COLLECT}),
        Role.OFFICER: _DAILY,
        Role.APPROVER: _DAILY | {Permission.APPROVE},
        Role.ADMINISTRATOR: frozenset(Permission),
    }
)

# Whoever holds one of these signs in with a second factor (OWASP ASVS 5.0.0, 6.3.3).
GUARDED: Final = frozenset({Permission.APPROVE, Permission.ADMINISTER})
# Of these there may be all districts without a row for each.
EVERYWHERE: Final = frozenset({Role.ADMINISTRATOR})


def needs_second_factor(role: Role) -> bool:
    """Return whether an officer of that role has to have a second factor."""
    return bool(ROLES[role] & GUARDED)
