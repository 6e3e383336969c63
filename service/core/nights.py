"""A night as officers read it: one name by both its days, so that nobody takes it for the night after."""

from datetime import date, timedelta


def night_of(begins: date) -> str:
    """Return the night that begins in the evening of a day: night of Mon 30 to Tue 1 Dec."""
    ends = begins + timedelta(days=1)
    return f"night of {begins:%a} {begins.day} to {ends:%a} {ends.day} {ends:%b}"
