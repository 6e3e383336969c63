"""Weeks, for reports and forecasts alike."""

from datetime import date, timedelta


def week_of(day: date) -> date:
    """Return the Monday of the week that a day is in (ISO 8601)."""
    return day - timedelta(days=day.weekday())
