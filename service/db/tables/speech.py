"""What came in, what is being talked about, and the questions that wait for an officer."""

from sqlalchemy import (
    Boolean,
    Column,
    Date,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    SmallInteger,
    Table,
    Text,
    text,
)

from service.db.tables.meta import Instant, Json, RowId, metadata

# raw is what the gateway handed over, to the byte; text is the same without characters that would harm a screen.
inbound = Table(
    "inbound",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("gateway", Text, nullable=False),
    Column("ref", Text, nullable=False),
    Column("phone_id", RowId, ForeignKey("phone.id"), nullable=False),
    Column("raw", LargeBinary, nullable=False),
    Column("text", Text, nullable=False),
    Column("text_hash", LargeBinary, nullable=False),
    Column("received_at", Instant, nullable=False),
    Column("stored_at", Instant, nullable=False),
    Column("state", Text, nullable=False),
    Column("tries", SmallInteger, nullable=False, server_default=text("0")),
    Column("farmer_id", RowId, ForeignKey("farmer.id")),
    Column("read_json", Json),
    # Whether parts of it never came.
    Column("incomplete", Boolean, nullable=False, server_default=text("false")),
    # What became of its answer, see service.core.wire_ports.Replied: the guards count it.
    Column("replied", Text),
    Column("replied_at", Instant),
)
Index("ix_inbound_phone_id_id", inbound.c.phone_id, inbound.c.id)
_UNREAD = text("state = 'stored'")
_SET_ASIDE = text("state = 'corrupt'")
Index("ix_inbound_set_aside", inbound.c.id, sqlite_where=_SET_ASIDE, postgresql_where=_SET_ASIDE)
Index("ix_inbound_unread", inbound.c.id, sqlite_where=_UNREAD, postgresql_where=_UNREAD)

# Parts of a long text, held until all are there or ten minutes have passed.
inbound_part = Table(
    "inbound_part",
    metadata,
    Column("gateway", Text, primary_key=True),
    Column("phone_id", RowId, ForeignKey("phone.id"), primary_key=True),
    Column("part_ref", Text, primary_key=True),
    Column("total", SmallInteger, primary_key=True),
    Column("number", SmallInteger, primary_key=True),
    Column("message_ref", Text, nullable=False),
    Column("raw", LargeBinary, nullable=False),
    Column("received_at", Instant, nullable=False),
    Column("stored_at", Instant, nullable=False),
)

inbound_seen = Table(
    "inbound_seen",
    metadata,
    Column("gateway", Text, primary_key=True),
    Column("ref", Text, primary_key=True),
    Column("inbound_id", RowId, nullable=False),
    Column("at", Instant, nullable=False),
)

# Ids of what gateways have posted to us: posted again, it has no effect.
hook_seen = Table(
    "hook_seen",
    metadata,
    Column("gateway", Text, primary_key=True),
    Column("webhook_id", Text, primary_key=True),
    Column("at", Instant, nullable=False),
)
Index("ix_hook_seen_at", hook_seen.c.at)

# How many automatic answers have gone out in a minute, to all phones together.
reply_minute = Table(
    "reply_minute",
    metadata,
    Column("minute", Instant, primary_key=True),
    Column("replies", Integer, nullable=False),
)

conversation = Table(
    "conversation",
    metadata,
    Column("phone_id", RowId, ForeignKey("phone.id"), primary_key=True),
    Column("farmer_id", RowId, ForeignKey("farmer.id")),
    Column("state", Text, nullable=False),
    Column("data", Json, nullable=False),
    Column("asked_by", Text, nullable=False),
    Column("misses", SmallInteger, nullable=False, server_default=text("0")),
    Column("expires_at", Instant, nullable=False),
)

question = Table(
    "question",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("code", Text, nullable=False, unique=True),
    Column("phone_id", RowId, ForeignKey("phone.id"), nullable=False),
    Column("farmer_id", RowId, ForeignKey("farmer.id")),
    Column("inbound_id", RowId, nullable=False),
    Column("text", Text, nullable=False),
    Column("urgency", Text, nullable=False),
    Column("asked_at", Instant, nullable=False),
    # See service.core.questions.QuestionState.
    Column("state", Text, nullable=False, server_default="open"),
    # The alert under which help was asked for, if it was.
    Column("alert_id", RowId),
)
_OPEN = text("state = 'open'")
Index("ix_question_open", question.c.asked_at, sqlite_where=_OPEN, postgresql_where=_OPEN)
Index("ix_question_farmer_id", question.c.farmer_id)
Index("ix_question_phone_id", question.c.phone_id)

# What officers did about a question, in its order; what was taken back stays.
answer = Table(
    "answer",
    metadata,
    Column("id", RowId, primary_key=True, autoincrement=False),
    Column("question_id", RowId, ForeignKey("question.id"), nullable=False),
    Column("officer_id", RowId, ForeignKey("officer.id"), nullable=False),
    Column("at", Instant, nullable=False),
    Column("way", Text, nullable=False),
    # The officer's own words as they were texted, and the text they left in.
    Column("words", Text),
    Column("message_day", Date),
    Column("message_id", RowId),
    Column("note", Text),
    Column("taken_back_at", Instant),
    Column("taken_back_by", RowId, ForeignKey("officer.id")),
)
Index("ix_answer_question_id", answer.c.question_id)
