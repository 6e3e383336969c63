"""The outbox: every text that is to leave, each try at sending it, and what the network said of it."""

from sqlalchemy import (
    Boolean,
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    PrimaryKeyConstraint,
    SmallInteger,
    Table,
    Text,
    UniqueConstraint,
    text,
)

from service.db.tables.meta import Instant, Json, RowId, metadata

message = Table(
    "message",
    metadata,
    Column("queued_on", Date, nullable=False),
    Column("id", RowId, nullable=False, autoincrement=False),
    Column("idem_key", Text, nullable=False),
    Column("kind", Text, nullable=False),
    Column("phone_id", RowId, ForeignKey("phone.id"), nullable=False),
    Column("farmer_id", RowId),
    Column("gateway", Text, nullable=False),
    Column("language", Text, nullable=False),
    Column("text_id", Text, nullable=False),
    Column("text", Text, nullable=False),
    Column("parts", SmallInteger, nullable=False),
    Column("priority", SmallInteger, nullable=False),
    Column("policy", Text, nullable=False),
    Column("zone", Text, nullable=False),
    Column("not_before", Instant, nullable=False),
    Column("expires_at", Instant, nullable=False),
    Column("state", Text, nullable=False),
    Column("why", Text),
    Column("tries", SmallInteger, nullable=False, server_default=text("0")),
    Column("doubts", SmallInteger, nullable=False, server_default=text("0")),
    Column("state_at", Instant, nullable=False),
    Column("inbound_id", RowId),
    # The question this text opens on the phone it reaches, set when it leaves: {"state": ..., "data": ...}.
    Column("opens", Json),
    Column("alert_id", RowId),
    # Which experiment's arm it is of, "7:second"; see `service.core.experiments`.
    Column("arm", Text),
    # When an officer has seen that it failed.
    Column("seen_at", Instant),
    PrimaryKeyConstraint("queued_on", "id"),
    UniqueConstraint("queued_on", "idem_key"),
)
_DUE = text("state = 'due'")
Index(
    "ix_message_due",
    message.c.priority,
    message.c.not_before,
    # Texts of one moment leave in the order they were made in, an alert's in the order of its turns.
    message.c.id,
    sqlite_where=_DUE,
    postgresql_where=_DUE,
)
_OPEN = text("state IN ('submitting', 'in_doubt')")
Index("ix_message_unsettled", message.c.state_at, sqlite_where=_OPEN, postgresql_where=_OPEN)
_FAILED = text("state = 'failed' AND seen_at IS NULL")
Index("ix_message_failed", message.c.state_at, sqlite_where=_FAILED, postgresql_where=_FAILED)
Index("ix_message_phone_id_queued_on", message.c.phone_id, message.c.queued_on)

_OF_ALERT = text("alert_id IS NOT NULL")
Index("ix_message_alert_id", message.c.alert_id, sqlite_where=_OF_ALERT, postgresql_where=_OF_ALERT)

_OF_ARM = text("arm IS NOT NULL")
Index("ix_message_arm", message.c.arm, message.c.queued_on, sqlite_where=_OF_ARM, postgresql_where=_OF_ARM)

# Parts that may still be paid for: reserved before a text is sent, spent once it is accepted, given back when it is
# not. scope names what is capped: "day", "alert:7", "officer:3", "farmer:12".
budget = Table(
    "budget",
    metadata,
    Column("scope", Text, primary_key=True),
    Column("day", Date, primary_key=True),
    Column("reserved", Integer, nullable=False, server_default=text("0")),
    Column("spent", Integer, nullable=False, server_default=text("0")),
)

attempt = Table(
    "attempt",
    metadata,
    Column("reference", Text, primary_key=True),
    Column("message_day", Date, nullable=False),
    Column("message_id", RowId, nullable=False),
    Column("number", SmallInteger, nullable=False),
    Column("began_at", Instant, nullable=False),
    Column("ended_at", Instant),
    Column("outcome", Text),
    Column("code", Text),
    Column("gateway", Text, nullable=False),
    Column("gateway_ref", Text),
)
Index("ix_attempt_message_day_message_id", attempt.c.message_day, attempt.c.message_id)
Index("ix_attempt_gateway_gateway_ref", attempt.c.gateway, attempt.c.gateway_ref)

# A receipt that comes before its text's own answer waits here with no message until the answer is in.
receipt = Table(
    "receipt",
    metadata,
    Column("gateway", Text, primary_key=True),
    Column("event_id", Text, primary_key=True),
    Column("gateway_ref", Text, nullable=False),
    Column("our_ref", Text),
    # Which part of the text it speaks of; none if of the whole.
    Column("part", SmallInteger),
    Column("stage", Text, nullable=False),
    Column("code", Text, nullable=False),
    Column("final", Boolean, nullable=False),
    Column("at", Instant, nullable=False),
    Column("stored_at", Instant, nullable=False),
    Column("message_day", Date),
    Column("message_id", RowId),
)
_PARKED = text("message_id IS NULL")
Index(
    "ix_receipt_parked",
    receipt.c.gateway,
    receipt.c.gateway_ref,
    sqlite_where=_PARKED,
    postgresql_where=_PARKED,
)
Index("ix_receipt_message_day_message_id", receipt.c.message_day, receipt.c.message_id)
