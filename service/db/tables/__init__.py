"""All tables, in one metadata with named constraints.

Units: integer grams; local days as dates; instants in UTC. Keys that grow without end begin with the day.
"""

from service.db.tables import (
    alerts,
    collections,
    dangers,
    experiments,
    money,
    outbox,
    people,
    plots,
    speech,
    sprays,
    staff,
    vessels,
    watering,
    weather,
)
from service.db.tables.meta import metadata

__all__ = [
    "alerts",
    "collections",
    "dangers",
    "experiments",
    "metadata",
    "money",
    "outbox",
    "people",
    "plots",
    "speech",
    "sprays",
    "staff",
    "vessels",
    "watering",
    "weather",
]
