"""All tables, in one metadata with named constraints.

Units: integer grams; local days as dates; instants in UTC. Keys that grow without end begin with the day.
"""

from service.db.tables import (
    alerts,
    dangers,
    experiments,
    outbox,
    people,
    plots,
    speech,
    sprays,
    staff,
    watering,
    weather,
)
from service.db.tables.meta import metadata

__all__ = [
    "alerts",
    "dangers",
    "experiments",
    "metadata",
    "outbox",
    "people",
    "plots",
    "speech",
    "sprays",
    "staff",
    "watering",
    "weather",
]
