"""Experiments: who is held out of advice texts, and which wording of a text is followed more often."""

from sqlalchemy import CheckConstraint, Column, Date, ForeignKey, Index, SmallInteger, Table, Text, text

from service.db.tables.meta import RowId, metadata

# Its number is short, so that a person can name it.
experiment = Table(
    "experiment",
    metadata,
    Column("id", RowId, primary_key=True),
    Column("topic", Text, nullable=False),
    Column("percent", SmallInteger, nullable=False),
    Column("salt", Text, nullable=False),
    Column("began_on", Date, nullable=False),
    # None for who is held out: that is for ever.
    Column("ends_on", Date),
    # None where no officer stood behind it: a command at the machine.
    Column("officer_id", RowId, ForeignKey("officer.id")),
    CheckConstraint("percent BETWEEN 1 AND 99", name="both_arms"),
)
_FOR_EVER = text("ends_on IS NULL")
Index(
    "uq_experiment_for_ever",
    experiment.c.topic,
    unique=True,
    sqlite_where=_FOR_EVER,
    postgresql_where=_FOR_EVER,
)
