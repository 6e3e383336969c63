"""An officer's message to districts: its texts, whom it is for, and how it goes."""

from sqlalchemy import Column, Date, ForeignKey, Index, Integer, LargeBinary, SmallInteger, Table, Text, text

from service.db.tables.meta import Instant, Json, RowId, metadata

alert = Table(
    "alert",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    # One click, one alert: a form sent twice or a command tried again finds the one that is there.
    Column("idem_key", Text, nullable=False, unique=True),
    Column("officer_id", RowId, ForeignKey("officer.id"), nullable=False),
    # A pre-approved text that needs only a date and a figure; none means free text.
    Column("template", Text),
    # The kind of its messages, see service.core.kinds.
    Column("kind", Text, nullable=False),
    Column("values", Json, nullable=False),
    Column("audience", Json, nullable=False),
    Column("state", Text, nullable=False),
    Column("made_at", Instant, nullable=False),
    Column("confirmed_at", Instant),
    Column("approved_by", RowId, ForeignKey("officer.id")),
    Column("approved_at", Instant),
    Column("waits_until", Instant),
    Column("send_at", Instant, nullable=False),
    Column("useless_after", Instant, nullable=False),
    Column("ended_at", Instant),
    Column("why", Text),
    # Why it goes to phones that get another alert that day; none if it does not.
    Column("anyway", Text),
)
Index("ix_alert_state", alert.c.state)

alert_text = Table(
    "alert_text",
    metadata,
    Column("alert_id", RowId, ForeignKey("alert.id"), primary_key=True),
    Column("language", Text, primary_key=True),
    Column("text", Text, nullable=False),
    Column("parts", SmallInteger, nullable=False),
    # What was approved is what is sent.
    Column("digest", LargeBinary, nullable=False),
)

alert_district = Table(
    "alert_district",
    metadata,
    Column("alert_id", RowId, ForeignKey("alert.id"), primary_key=True),
    Column("district_id", RowId, ForeignKey("district.id"), primary_key=True),
)

# One row a phone: farmers who share one are counted as reached by it. An excluded one has a reason and no text.
alert_recipient = Table(
    "alert_recipient",
    metadata,
    Column("alert_id", RowId, ForeignKey("alert.id"), primary_key=True),
    Column("phone_id", RowId, ForeignKey("phone.id"), primary_key=True),
    Column("farmer_id", RowId, nullable=False),
    Column("farmers", Integer, nullable=False),
    Column("language", Text, nullable=False),
    # Small goes first: lead farmers and high plots.
    Column("turn", Integer, nullable=False),
    Column("excluded", Text),
    Column("message_day", Date),
    Column("message_id", RowId),
    Column("answer", Text),
    Column("answered_at", Instant),
)
_UNWRITTEN = text("excluded IS NULL AND message_id IS NULL")
# Recipients become messages in their turn, a stretch at a time; those who have theirs are not passed by again.
Index(
    "ix_alert_recipient_unwritten",
    alert_recipient.c.alert_id,
    alert_recipient.c.turn,
    sqlite_where=_UNWRITTEN,
    postgresql_where=_UNWRITTEN,
)
_ANSWERED = text("answer IS NOT NULL")
Index(
    "ix_alert_recipient_answered",
    alert_recipient.c.alert_id,
    sqlite_where=_ANSWERED,
    postgresql_where=_ANSWERED,
)
