"""The first schema: farmers and their phones, plots, reminders, texts in and out, officers."""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects import postgresql

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make all tables."""
    op.create_table(
        "attempt",
        sa.Column("reference", sa.Text(), nullable=False),
        sa.Column("message_day", sa.Date(), nullable=False),
        sa.Column("message_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("number", sa.SmallInteger(), nullable=False),
        sa.Column("began_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("outcome", sa.Text(), nullable=True),
        sa.Column("code", sa.Text(), nullable=True),
        sa.Column("gateway", sa.Text(), nullable=False),
        sa.Column("gateway_ref", sa.Text(), nullable=True),
        sa.PrimaryKeyConstraint("reference", name=op.f("pk_attempt")),
    )
    op.create_index("ix_attempt_gateway_gateway_ref", "attempt", ["gateway", "gateway_ref"], unique=False)
    op.create_index(
        "ix_attempt_message_day_message_id", "attempt", ["message_day", "message_id"], unique=False
    )
    op.create_table(
        "audit",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("action", sa.Text(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column(
            "detail",
            sa.JSON().with_variant(postgresql.JSONB(astext_type=sa.Text()), "postgresql"),
            nullable=False,
        ),
        sa.Column("before", sa.LargeBinary(), nullable=False),
        sa.Column("digest", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_audit")),
        sa.UniqueConstraint("digest", name=op.f("uq_audit_digest")),
    )
    op.create_table(
        "budget",
        sa.Column("scope", sa.Text(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("reserved", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("spent", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.PrimaryKeyConstraint("scope", "day", name=op.f("pk_budget")),
    )
    op.create_table(
        "calendar_version",
        sa.Column("calendar_id", sa.Text(), nullable=False),
        sa.Column("version", sa.Text(), nullable=False),
        sa.Column("fingerprint", sa.Text(), nullable=False),
        sa.Column("first_used_on", sa.Date(), nullable=False),
        sa.PrimaryKeyConstraint("calendar_id", "version", name=op.f("pk_calendar_version")),
    )
    op.create_table(
        "district",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("elevation_m", sa.Integer(), nullable=True),
        sa.Column("latitude", sa.SmallInteger(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_district")),
        sa.UniqueConstraint("name", name=op.f("uq_district_name")),
    )
    op.create_table(
        "hook_seen",
        sa.Column("gateway", sa.Text(), nullable=False),
        sa.Column("webhook_id", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("gateway", "webhook_id", name=op.f("pk_hook_seen")),
    )
    op.create_index("ix_hook_seen_at", "hook_seen", ["at"], unique=False)
    op.create_table(
        "inbound_seen",
        sa.Column("gateway", sa.Text(), nullable=False),
        sa.Column("ref", sa.Text(), nullable=False),
        sa.Column("inbound_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("gateway", "ref", name=op.f("pk_inbound_seen")),
    )
    op.create_table(
        "login_attempt",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("account", sa.Text(), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ok", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_login_attempt")),
    )
    op.create_index(op.f("ix_login_attempt_account"), "login_attempt", ["account"], unique=False)
    op.create_index(op.f("ix_login_attempt_address"), "login_attempt", ["address"], unique=False)
    op.create_table(
        "officer",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("role", sa.Text(), server_default="officer", nullable=False),
        sa.Column("language", sa.Text(), server_default="en", nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=True),
        sa.Column("second_factor", sa.LargeBinary(), nullable=True),
        sa.Column("second_factor_used", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("second_factor_next", sa.LargeBinary(), nullable=True),
        sa.Column("disabled_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_officer")),
        sa.UniqueConstraint("name", name=op.f("uq_officer_name")),
    )
    op.create_table(
        "phone",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sealed", sa.LargeBinary(), nullable=False),
        sa.Column("number_index", sa.LargeBinary(), nullable=False),
        sa.Column("last3", sa.Text(), nullable=False),
        sa.Column("region", sa.Text(), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_phone")),
        sa.UniqueConstraint("number_index", name=op.f("uq_phone_number_index")),
    )
    op.create_index(op.f("ix_phone_last3"), "phone", ["last3"], unique=False)
    op.create_table(
        "receipt",
        sa.Column("gateway", sa.Text(), nullable=False),
        sa.Column("event_id", sa.Text(), nullable=False),
        sa.Column("gateway_ref", sa.Text(), nullable=False),
        sa.Column("our_ref", sa.Text(), nullable=True),
        sa.Column("part", sa.SmallInteger(), nullable=True),
        sa.Column("stage", sa.Text(), nullable=False),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("final", sa.Boolean(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("stored_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("message_day", sa.Date(), nullable=True),
        sa.Column("message_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.PrimaryKeyConstraint("gateway", "event_id", name=op.f("pk_receipt")),
    )
    op.create_index(
        "ix_receipt_message_day_message_id", "receipt", ["message_day", "message_id"], unique=False
    )
    op.create_index(
        "ix_receipt_parked",
        "receipt",
        ["gateway", "gateway_ref"],
        unique=False,
        sqlite_where=sa.text("message_id IS NULL"),
        postgresql_where=sa.text("message_id IS NULL"),
    )
    op.create_table(
        "reminder",
        sa.Column("due_on", sa.Date(), nullable=False),
        sa.Column("task", sa.Text(), nullable=False),
        sa.Column("plot_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("ordinal", sa.SmallInteger(), nullable=False),
        sa.Column("state", sa.Text(), server_default="due", nullable=False),
        sa.Column("why", sa.Text(), nullable=True),
        sa.Column("place", sa.SmallInteger(), nullable=True),
        sa.Column("message_day", sa.Date(), nullable=True),
        sa.Column("message_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("answer", sa.Text(), nullable=True),
        sa.Column("answered_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("nudged_on", sa.Date(), nullable=True),
        sa.PrimaryKeyConstraint("due_on", "task", "plot_id", "revision", name=op.f("pk_reminder")),
    )
    op.create_index(
        "ix_reminder_listed",
        "reminder",
        ["plot_id"],
        unique=False,
        sqlite_where=sa.text("place IS NOT NULL"),
        postgresql_where=sa.text("place IS NOT NULL"),
    )
    op.create_index(
        "ix_reminder_settled",
        "reminder",
        ["plot_id", "due_on"],
        unique=False,
        sqlite_where=sa.text("state != 'due'"),
        postgresql_where=sa.text("state != 'due'"),
    )
    op.create_index(
        "ix_reminder_text",
        "reminder",
        ["message_day", "message_id"],
        unique=False,
        sqlite_where=sa.text("message_day IS NOT NULL"),
        postgresql_where=sa.text("message_day IS NOT NULL"),
    )
    op.create_index(
        "ix_reminder_waiting",
        "reminder",
        ["plot_id"],
        unique=False,
        sqlite_where=sa.text("state = 'due'"),
        postgresql_where=sa.text("state = 'due'"),
    )
    op.create_table(
        "reply_minute",
        sa.Column("minute", sa.DateTime(timezone=True), nullable=False),
        sa.Column("replies", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("minute", name=op.f("pk_reply_minute")),
    )
    op.create_table(
        "setting",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_setting")),
    )
    op.create_table(
        "stop_list",
        sa.Column("number_index", sa.LargeBinary(), nullable=False),
        sa.Column("since", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("number_index", name=op.f("pk_stop_list")),
    )
    op.create_table(
        "sweep",
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("calendar_id", sa.Text(), nullable=False),
        sa.Column("reminders", sa.Integer(), nullable=False),
        sa.Column("done_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("merged_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("zone", "day", "calendar_id", name=op.f("pk_sweep")),
    )
    op.create_table(
        "alert",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("idem_key", sa.Text(), nullable=False),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("template", sa.Text(), nullable=True),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column(
            "values",
            sa.JSON().with_variant(postgresql.JSONB(astext_type=sa.Text()), "postgresql"),
            nullable=False,
        ),
        sa.Column(
            "audience",
            sa.JSON().with_variant(postgresql.JSONB(astext_type=sa.Text()), "postgresql"),
            nullable=False,
        ),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("confirmed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("approved_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("approved_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("waits_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("send_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("useless_after", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("why", sa.Text(), nullable=True),
        sa.Column("anyway", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["approved_by"], ["officer.id"], name=op.f("fk_alert_approved_by_officer")),
        sa.ForeignKeyConstraint(["officer_id"], ["officer.id"], name=op.f("fk_alert_officer_id_officer")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_alert")),
        sa.UniqueConstraint("idem_key", name=op.f("uq_alert_idem_key")),
    )
    op.create_index("ix_alert_state", "alert", ["state"], unique=False)
    op.create_table(
        "erasure",
        sa.Column(
            "farmer_id",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            autoincrement=False,
            nullable=False,
        ),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.Column("number_gone", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_erasure_phone_id_phone")),
        sa.PrimaryKeyConstraint("farmer_id", "phone_id", name=op.f("pk_erasure")),
    )
    op.create_table(
        "farmer_group",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("district_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["district_id"], ["district.id"], name=op.f("fk_farmer_group_district_id_district")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_farmer_group")),
        sa.UniqueConstraint("district_id", "name", name=op.f("uq_farmer_group_district_id_name")),
    )
    op.create_table(
        "inbound_part",
        sa.Column("gateway", sa.Text(), nullable=False),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("part_ref", sa.Text(), nullable=False),
        sa.Column("total", sa.SmallInteger(), nullable=False),
        sa.Column("number", sa.SmallInteger(), nullable=False),
        sa.Column("message_ref", sa.Text(), nullable=False),
        sa.Column("raw", sa.LargeBinary(), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("stored_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_inbound_part_phone_id_phone")),
        sa.PrimaryKeyConstraint(
            "gateway", "phone_id", "part_ref", "total", "number", name=op.f("pk_inbound_part")
        ),
    )
    op.create_table(
        "kept_form",
        sa.Column(
            "officer_id",
            sa.BigInteger().with_variant(sa.Integer(), "sqlite"),
            autoincrement=False,
            nullable=False,
        ),
        sa.Column("kept_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("sealed", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["officer_id"], ["officer.id"], name=op.f("fk_kept_form_officer_id_officer")),
        sa.PrimaryKeyConstraint("officer_id", name=op.f("pk_kept_form")),
    )
    op.create_table(
        "login_code",
        sa.Column("digest", sa.LargeBinary(), nullable=False),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("made_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["officer_id"], ["officer.id"], name=op.f("fk_login_code_officer_id_officer")
        ),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_login_code")),
    )
    op.create_table(
        "message",
        sa.Column("queued_on", sa.Date(), nullable=False),
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("idem_key", sa.Text(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("gateway", sa.Text(), nullable=False),
        sa.Column("language", sa.Text(), nullable=False),
        sa.Column("text_id", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("parts", sa.SmallInteger(), nullable=False),
        sa.Column("priority", sa.SmallInteger(), nullable=False),
        sa.Column("policy", sa.Text(), nullable=False),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("not_before", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("why", sa.Text(), nullable=True),
        sa.Column("tries", sa.SmallInteger(), server_default=sa.text("0"), nullable=False),
        sa.Column("doubts", sa.SmallInteger(), server_default=sa.text("0"), nullable=False),
        sa.Column("state_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("inbound_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column(
            "opens",
            sa.JSON().with_variant(postgresql.JSONB(astext_type=sa.Text()), "postgresql"),
            nullable=True,
        ),
        sa.Column("alert_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("arm", sa.Text(), nullable=True),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_message_phone_id_phone")),
        sa.PrimaryKeyConstraint("queued_on", "id", name=op.f("pk_message")),
        sa.UniqueConstraint("queued_on", "idem_key", name=op.f("uq_message_queued_on_idem_key")),
    )
    op.create_index(
        "ix_message_alert_id",
        "message",
        ["alert_id"],
        unique=False,
        sqlite_where=sa.text("alert_id IS NOT NULL"),
        postgresql_where=sa.text("alert_id IS NOT NULL"),
    )
    op.create_index(
        "ix_message_arm",
        "message",
        ["arm", "queued_on"],
        unique=False,
        sqlite_where=sa.text("arm IS NOT NULL"),
        postgresql_where=sa.text("arm IS NOT NULL"),
    )
    op.create_index(
        "ix_message_due",
        "message",
        ["priority", "not_before", "id"],
        unique=False,
        sqlite_where=sa.text("state = 'due'"),
        postgresql_where=sa.text("state = 'due'"),
    )
    op.create_index(
        "ix_message_failed",
        "message",
        ["state_at"],
        unique=False,
        sqlite_where=sa.text("state = 'failed' AND seen_at IS NULL"),
        postgresql_where=sa.text("state = 'failed' AND seen_at IS NULL"),
    )
    op.create_index("ix_message_phone_id_queued_on", "message", ["phone_id", "queued_on"], unique=False)
    op.create_index(
        "ix_message_unsettled",
        "message",
        ["state_at"],
        unique=False,
        sqlite_where=sa.text("state IN ('submitting', 'in_doubt')"),
        postgresql_where=sa.text("state IN ('submitting', 'in_doubt')"),
    )
    op.create_table(
        "officer_district",
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("district_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.ForeignKeyConstraint(
            ["district_id"], ["district.id"], name=op.f("fk_officer_district_district_id_district")
        ),
        sa.ForeignKeyConstraint(
            ["officer_id"], ["officer.id"], name=op.f("fk_officer_district_officer_id_officer")
        ),
        sa.PrimaryKeyConstraint("officer_id", "district_id", name=op.f("pk_officer_district")),
    )
    op.create_table(
        "officer_phone",
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.ForeignKeyConstraint(
            ["officer_id"], ["officer.id"], name=op.f("fk_officer_phone_officer_id_officer")
        ),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_officer_phone_phone_id_phone")),
        sa.PrimaryKeyConstraint("officer_id", "phone_id", name=op.f("pk_officer_phone")),
    )
    op.create_table(
        "officer_place",
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("digest", sa.LargeBinary(), nullable=False),
        sa.Column("first_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["officer_id"], ["officer.id"], name=op.f("fk_officer_place_officer_id_officer")
        ),
        sa.PrimaryKeyConstraint("officer_id", "digest", name=op.f("pk_officer_place")),
    )
    op.create_index("ix_officer_place_first_at", "officer_place", ["first_at"], unique=False)
    op.create_table(
        "recovery_code",
        sa.Column("digest", sa.LargeBinary(), nullable=False),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["officer_id"], ["officer.id"], name=op.f("fk_recovery_code_officer_id_officer")
        ),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_recovery_code")),
    )
    op.create_table(
        "session",
        sa.Column("digest", sa.LargeBinary(), nullable=False),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("csrf", sa.Text(), nullable=False),
        sa.Column("began_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("address", sa.Text(), nullable=False),
        sa.Column("browser", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["officer_id"], ["officer.id"], name=op.f("fk_session_officer_id_officer")),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_session")),
    )
    op.create_table(
        "village",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("district_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(
            ["district_id"], ["district.id"], name=op.f("fk_village_district_id_district")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_village")),
        sa.UniqueConstraint("district_id", "name", name=op.f("uq_village_district_id_name")),
    )
    op.create_table(
        "alert_district",
        sa.Column("alert_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("district_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.ForeignKeyConstraint(["alert_id"], ["alert.id"], name=op.f("fk_alert_district_alert_id_alert")),
        sa.ForeignKeyConstraint(
            ["district_id"], ["district.id"], name=op.f("fk_alert_district_district_id_district")
        ),
        sa.PrimaryKeyConstraint("alert_id", "district_id", name=op.f("pk_alert_district")),
    )
    op.create_table(
        "alert_recipient",
        sa.Column("alert_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("farmers", sa.Integer(), nullable=False),
        sa.Column("language", sa.Text(), nullable=False),
        sa.Column("turn", sa.Integer(), nullable=False),
        sa.Column("excluded", sa.Text(), nullable=True),
        sa.Column("message_day", sa.Date(), nullable=True),
        sa.Column("message_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("answer", sa.Text(), nullable=True),
        sa.Column("answered_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["alert_id"], ["alert.id"], name=op.f("fk_alert_recipient_alert_id_alert")),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_alert_recipient_phone_id_phone")),
        sa.PrimaryKeyConstraint("alert_id", "phone_id", name=op.f("pk_alert_recipient")),
    )
    op.create_index(
        "ix_alert_recipient_unwritten",
        "alert_recipient",
        ["alert_id", "turn"],
        unique=False,
        sqlite_where=sa.text("excluded IS NULL AND message_id IS NULL"),
        postgresql_where=sa.text("excluded IS NULL AND message_id IS NULL"),
    )
    op.create_index(
        "ix_alert_recipient_answered",
        "alert_recipient",
        ["alert_id"],
        unique=False,
        sqlite_where=sa.text("answer IS NOT NULL"),
        postgresql_where=sa.text("answer IS NOT NULL"),
    )
    op.create_table(
        "alert_text",
        sa.Column("alert_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("language", sa.Text(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("parts", sa.SmallInteger(), nullable=False),
        sa.Column("digest", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["alert_id"], ["alert.id"], name=op.f("fk_alert_text_alert_id_alert")),
        sa.PrimaryKeyConstraint("alert_id", "language", name=op.f("pk_alert_text")),
    )
    op.create_table(
        "farmer",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("sought", sa.Text(), nullable=False),
        sa.Column("language", sa.Text(), nullable=False),
        sa.Column("district_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("text_hour", sa.SmallInteger(), server_default=sa.text("7"), nullable=False),
        sa.Column("added_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("pending_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("village_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("group_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("lead", sa.Boolean(), server_default=sa.text("false"), nullable=False),
        sa.Column("alerts", sa.Boolean(), server_default=sa.text("true"), nullable=False),
        sa.Column("paused_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("added_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("held_out", sa.Boolean(), server_default=sa.text("false"), nullable=False),
        sa.ForeignKeyConstraint(
            ["district_id"], ["district.id"], name=op.f("fk_farmer_district_id_district")
        ),
        sa.ForeignKeyConstraint(
            ["group_id"], ["farmer_group.id"], name=op.f("fk_farmer_group_id_farmer_group")
        ),
        sa.ForeignKeyConstraint(["village_id"], ["village.id"], name=op.f("fk_farmer_village_id_village")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_farmer")),
    )
    op.create_index("ix_farmer_district_id_name", "farmer", ["district_id", "name"], unique=False)
    op.create_index(
        "ix_farmer_group_id",
        "farmer",
        ["group_id"],
        unique=False,
        sqlite_where=sa.text("group_id IS NOT NULL"),
        postgresql_where=sa.text("group_id IS NOT NULL"),
    )
    op.create_index(
        "ix_farmer_pending",
        "farmer",
        ["pending_until"],
        unique=False,
        sqlite_where=sa.text("state = 'pending'"),
        postgresql_where=sa.text("state = 'pending'"),
    )
    op.create_table(
        "consent",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("purpose", sa.Text(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
        sa.Column("way", sa.Text(), nullable=False),
        sa.Column("text_id", sa.Text(), nullable=True),
        sa.Column("text_shown", sa.Text(), nullable=True),
        sa.Column("inbound_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("on_day", sa.Date(), nullable=False),
        sa.ForeignKeyConstraint(["farmer_id"], ["farmer.id"], name=op.f("fk_consent_farmer_id_farmer")),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_consent_phone_id_phone")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_consent")),
    )
    op.create_index("ix_consent_farmer_id", "consent", ["farmer_id"], unique=False)
    op.create_index("ix_consent_phone_id", "consent", ["phone_id"], unique=False)
    op.create_index(
        "ix_consent_stopped",
        "consent",
        ["on_day"],
        unique=False,
        sqlite_where=sa.text("answer = 'stopped'"),
        postgresql_where=sa.text("answer = 'stopped'"),
    )
    op.create_table(
        "conversation",
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column(
            "data",
            sa.JSON().with_variant(postgresql.JSONB(astext_type=sa.Text()), "postgresql"),
            nullable=False,
        ),
        sa.Column("asked_by", sa.Text(), nullable=False),
        sa.Column("misses", sa.SmallInteger(), server_default=sa.text("0"), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["farmer_id"], ["farmer.id"], name=op.f("fk_conversation_farmer_id_farmer")),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_conversation_phone_id_phone")),
        sa.PrimaryKeyConstraint("phone_id", name=op.f("pk_conversation")),
    )
    op.create_table(
        "farmer_phone",
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("preferred", sa.Boolean(), nullable=False),
        sa.Column("since", sa.DateTime(timezone=True), nullable=False),
        sa.Column("until", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["farmer_id"], ["farmer.id"], name=op.f("fk_farmer_phone_farmer_id_farmer")),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_farmer_phone_phone_id_phone")),
        sa.PrimaryKeyConstraint("farmer_id", "phone_id", name=op.f("pk_farmer_phone")),
    )
    op.create_index("ix_farmer_phone_phone_id", "farmer_phone", ["phone_id"], unique=False)
    op.create_table(
        "inbound",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("gateway", sa.Text(), nullable=False),
        sa.Column("ref", sa.Text(), nullable=False),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("raw", sa.LargeBinary(), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("text_hash", sa.LargeBinary(), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("stored_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("tries", sa.SmallInteger(), server_default=sa.text("0"), nullable=False),
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column(
            "read_json",
            sa.JSON().with_variant(postgresql.JSONB(astext_type=sa.Text()), "postgresql"),
            nullable=True,
        ),
        sa.Column("incomplete", sa.Boolean(), server_default=sa.text("false"), nullable=False),
        sa.Column("replied", sa.Text(), nullable=True),
        sa.Column("replied_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(["farmer_id"], ["farmer.id"], name=op.f("fk_inbound_farmer_id_farmer")),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_inbound_phone_id_phone")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inbound")),
    )
    op.create_index("ix_inbound_phone_id_id", "inbound", ["phone_id", "id"], unique=False)
    op.create_index(
        "ix_inbound_set_aside",
        "inbound",
        ["id"],
        unique=False,
        sqlite_where=sa.text("state = 'corrupt'"),
        postgresql_where=sa.text("state = 'corrupt'"),
    )
    op.create_index(
        "ix_inbound_unread",
        "inbound",
        ["id"],
        unique=False,
        sqlite_where=sa.text("state = 'stored'"),
        postgresql_where=sa.text("state = 'stored'"),
    )
    op.create_table(
        "collection",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("group_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("place", sa.Text(), nullable=False),
        sa.Column("weekdays", sa.SmallInteger(), nullable=False),
        sa.Column("hour", sa.SmallInteger(), nullable=False),
        sa.Column("first_on", sa.Date(), nullable=False),
        sa.Column("last_on", sa.Date(), nullable=True),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("hour BETWEEN 0 AND 23", name=op.f("ck_collection_hour")),
        sa.CheckConstraint("last_on >= first_on", name=op.f("ck_collection_ends_after")),
        sa.CheckConstraint("weekdays BETWEEN 1 AND 127", name=op.f("ck_collection_weekdays")),
        sa.ForeignKeyConstraint(
            ["group_id"], ["farmer_group.id"], name=op.f("fk_collection_group_id_farmer_group")
        ),
        sa.ForeignKeyConstraint(
            ["officer_id"], ["officer.id"], name=op.f("fk_collection_officer_id_officer")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_collection")),
    )
    op.create_index(op.f("ix_collection_group_id"), "collection", ["group_id"], unique=False)
    op.create_table(
        "collection_change",
        sa.Column("collection_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("moved_to", sa.Date(), nullable=True),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("moved_to <> day", name=op.f("ck_collection_change_moves")),
        sa.ForeignKeyConstraint(
            ["collection_id"], ["collection.id"], name=op.f("fk_collection_change_collection_id_collection")
        ),
        sa.ForeignKeyConstraint(
            ["officer_id"], ["officer.id"], name=op.f("fk_collection_change_officer_id_officer")
        ),
        sa.PrimaryKeyConstraint("collection_id", "day", name=op.f("pk_collection_change")),
    )
    op.create_table(
        "plot",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("planted_on", sa.Date(), nullable=False),
        sa.Column("precision", sa.Text(), nullable=False),
        sa.Column("plants", sa.Integer(), nullable=False),
        sa.Column("plant_type", sa.Text(), nullable=True),
        sa.Column("stock", sa.Text(), nullable=True),
        sa.Column("mulch_kind", sa.Text(), nullable=True),
        sa.Column("water_method", sa.Text(), nullable=True),
        sa.Column("mother_rows", sa.Text(), nullable=True),
        sa.Column("traits", sa.Integer(), server_default=sa.text("17043521"), nullable=False),
        sa.Column("bed_width_cm", sa.SmallInteger(), nullable=True),
        sa.Column("path_width_cm", sa.SmallInteger(), nullable=True),
        sa.Column("bed_rows", sa.SmallInteger(), nullable=True),
        sa.Column("spacing_cm", sa.SmallInteger(), nullable=True),
        sa.Column("elevation_m", sa.Integer(), nullable=True),
        sa.Column("zone", sa.Text(), nullable=False),
        sa.Column("calendar_id", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), server_default=sa.text("0"), nullable=False),
        sa.Column("text_day", sa.SmallInteger(), nullable=False),
        sa.Column("picking_text_day", sa.SmallInteger(), nullable=False),
        sa.Column("pick_days", sa.SmallInteger(), nullable=False),
        sa.Column("prompt_days", sa.SmallInteger(), nullable=False),
        sa.Column("picking_early", sa.Boolean(), server_default=sa.text("false"), nullable=False),
        sa.Column("live", sa.Boolean(), nullable=False),
        sa.Column("closed_on", sa.Date(), nullable=True),
        sa.Column("collection_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.CheckConstraint("plants > 0", name=op.f("ck_plot_plants_positive")),
        sa.CheckConstraint(
            "text_day BETWEEN 0 AND 6 AND picking_text_day BETWEEN 0 AND 6", name=op.f("ck_plot_weekdays")
        ),
        sa.CheckConstraint(
            "traits = CASE plant_type WHEN 'day_neutral' THEN 2 WHEN 'short_day' THEN 4 ELSE 1 END + "
            "CASE stock WHEN 'plug' THEN 128 WHEN 'bare_root' THEN 256 WHEN 'runner_plant' THEN 512 ELSE 64 END + "
            "CASE mulch_kind WHEN 'none' THEN 8192 WHEN 'straw' THEN 16384 WHEN 'plastic' THEN 32768 "
            "ELSE 4096 END + "
            "CASE water_method WHEN 'can' THEN 524288 WHEN 'drip' THEN 1048576 ELSE 262144 END + "
            "CASE mother_rows WHEN 'yes' THEN 33554432 WHEN 'no' THEN 67108864 ELSE 16777216 END",
            name=op.f("ck_plot_traits_are_the_words"),
        ),
        sa.ForeignKeyConstraint(
            ["collection_id"], ["collection.id"], name=op.f("fk_plot_collection_id_collection")
        ),
        sa.ForeignKeyConstraint(["farmer_id"], ["farmer.id"], name=op.f("fk_plot_farmer_id_farmer")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plot")),
    )
    op.create_index(
        "ix_plot_collection_id",
        "plot",
        ["collection_id"],
        unique=False,
        sqlite_where=sa.text("collection_id IS NOT NULL"),
        postgresql_where=sa.text("collection_id IS NOT NULL"),
    )
    op.create_index(op.f("ix_plot_farmer_id"), "plot", ["farmer_id"], unique=False)
    op.create_index(
        "ix_plot_planning",
        "plot",
        [
            "zone",
            "calendar_id",
            "planted_on",
            "traits",
            "text_day",
            "picking_text_day",
            "prompt_days",
            "picking_early",
            "id",
            "revision",
            "live",
        ],
        unique=False,
        sqlite_where=sa.text("live = 1"),
        postgresql_where=sa.text("live"),
    )
    op.create_index(
        "ix_plot_steady",
        "plot",
        ["zone", "id"],
        unique=False,
        sqlite_where=sa.text("live = 1 AND prompt_days <> pick_days"),
        postgresql_where=sa.text("live AND prompt_days <> pick_days"),
    )
    op.create_table(
        "question",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("code", sa.Text(), nullable=False),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("inbound_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("urgency", sa.Text(), nullable=False),
        sa.Column("asked_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("state", sa.Text(), server_default="open", nullable=False),
        sa.Column("alert_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.ForeignKeyConstraint(["farmer_id"], ["farmer.id"], name=op.f("fk_question_farmer_id_farmer")),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_question_phone_id_phone")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_question")),
        sa.UniqueConstraint("code", name=op.f("uq_question_code")),
    )
    op.create_index(
        "ix_question_open",
        "question",
        ["asked_at"],
        unique=False,
        sqlite_where=sa.text("state = 'open'"),
        postgresql_where=sa.text("state = 'open'"),
    )
    op.create_index("ix_question_farmer_id", "question", ["farmer_id"], unique=False)
    op.create_index("ix_question_phone_id", "question", ["phone_id"], unique=False)
    op.create_table(
        "answer",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("question_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("way", sa.Text(), nullable=False),
        sa.Column("words", sa.Text(), nullable=True),
        sa.Column("message_day", sa.Date(), nullable=True),
        sa.Column("message_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("note", sa.Text(), nullable=True),
        sa.Column("taken_back_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("taken_back_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.ForeignKeyConstraint(["officer_id"], ["officer.id"], name=op.f("fk_answer_officer_id_officer")),
        sa.ForeignKeyConstraint(
            ["question_id"], ["question.id"], name=op.f("fk_answer_question_id_question")
        ),
        sa.ForeignKeyConstraint(
            ["taken_back_by"], ["officer.id"], name=op.f("fk_answer_taken_back_by_officer")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_answer")),
    )
    op.create_index("ix_answer_question_id", "answer", ["question_id"], unique=False)
    op.create_table(
        "done_report",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("plot_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("task", sa.Text(), nullable=False),
        sa.Column("due_on", sa.Date(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("inbound_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("voided_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.ForeignKeyConstraint(["plot_id"], ["plot.id"], name=op.f("fk_done_report_plot_id_plot")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_done_report")),
    )
    op.create_index(op.f("ix_done_report_inbound_id"), "done_report", ["inbound_id"], unique=False)
    op.create_index(op.f("ix_done_report_plot_id"), "done_report", ["plot_id"], unique=False)
    op.create_table(
        "harvest",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("plot_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("picked_on", sa.Date(), nullable=False),
        sa.Column("grams", sa.Integer(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("inbound_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("voided_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("in_hold", sa.Boolean(), server_default=sa.text("false"), nullable=False),
        sa.CheckConstraint("grams >= 0", name=op.f("ck_harvest_grams_not_negative")),
        sa.ForeignKeyConstraint(["plot_id"], ["plot.id"], name=op.f("fk_harvest_plot_id_plot")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_harvest")),
    )
    op.create_index(
        "ix_harvest_in_question",
        "harvest",
        ["at"],
        unique=False,
        sqlite_where=sa.text("state = 'in_question'"),
        postgresql_where=sa.text("state = 'in_question'"),
    )
    op.create_index("ix_harvest_phone_id_at", "harvest", ["phone_id", "at"], unique=False)
    op.create_index("ix_harvest_picked_on_plot_id", "harvest", ["picked_on", "plot_id"], unique=False)
    op.create_index("ix_harvest_plot_id_picked_on", "harvest", ["plot_id", "picked_on"], unique=False)
    op.create_table(
        "plot_change",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("plot_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column(
            "before",
            sa.JSON().with_variant(postgresql.JSONB(astext_type=sa.Text()), "postgresql"),
            nullable=False,
        ),
        sa.Column(
            "after",
            sa.JSON().with_variant(postgresql.JSONB(astext_type=sa.Text()), "postgresql"),
            nullable=False,
        ),
        sa.ForeignKeyConstraint(["plot_id"], ["plot.id"], name=op.f("fk_plot_change_plot_id_plot")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plot_change")),
    )
    op.create_index(op.f("ix_plot_change_plot_id"), "plot_change", ["plot_id"], unique=False)
    op.create_table(
        "scout_report",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("plot_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("seen_on", sa.Date(), nullable=False),
        sa.Column("finding", sa.Text(), nullable=False),
        sa.Column("inbound_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("village_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.ForeignKeyConstraint(["plot_id"], ["plot.id"], name=op.f("fk_scout_report_plot_id_plot")),
        sa.ForeignKeyConstraint(
            ["village_id"], ["village.id"], name=op.f("fk_scout_report_village_id_village")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_scout_report")),
    )
    op.create_index(op.f("ix_scout_report_inbound_id"), "scout_report", ["inbound_id"], unique=False)
    op.create_index(op.f("ix_scout_report_plot_id"), "scout_report", ["plot_id"], unique=False)
    op.create_index(
        "ix_scout_report_village_id_seen_on",
        "scout_report",
        ["village_id", "seen_on"],
        unique=False,
        sqlite_where=sa.text("village_id IS NOT NULL"),
        postgresql_where=sa.text("village_id IS NOT NULL"),
    )
    op.create_table(
        "import_batch",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("district_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("way", sa.Text(), nullable=False),
        sa.Column("file_name", sa.Text(), nullable=False),
        sa.Column("rows", sa.Integer(), nullable=False),
        sa.Column("undone_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("undone_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.ForeignKeyConstraint(
            ["district_id"], ["district.id"], name=op.f("fk_import_batch_district_id_district")
        ),
        sa.ForeignKeyConstraint(
            ["officer_id"], ["officer.id"], name=op.f("fk_import_batch_officer_id_officer")
        ),
        sa.ForeignKeyConstraint(
            ["undone_by"], ["officer.id"], name=op.f("fk_import_batch_undone_by_officer")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_import_batch")),
    )
    op.create_table(
        "weather_day",
        sa.Column("district_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("batch_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("observed", sa.Boolean(), nullable=False),
        sa.Column("issued_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("tmin_tenths_c", sa.SmallInteger(), nullable=True),
        sa.Column("tmax_tenths_c", sa.SmallInteger(), nullable=True),
        sa.Column("rain_tenths_mm", sa.Integer(), nullable=True),
        sa.Column("wind_tenths_m_s", sa.SmallInteger(), nullable=True),
        sa.Column("vapour_tenths_hpa", sa.SmallInteger(), nullable=True),
        sa.Column("humidity_tenths_percent", sa.SmallInteger(), nullable=True),
        sa.Column("radiation_tenths_mj_m2", sa.SmallInteger(), nullable=True),
        sa.CheckConstraint("observed = (issued_at IS NULL)", name=op.f("ck_weather_day_forecast_is_issued")),
        sa.CheckConstraint(
            "coalesce(tmin_tenths_c, tmax_tenths_c, rain_tenths_mm, wind_tenths_m_s, vapour_tenths_hpa, "
            "humidity_tenths_percent, radiation_tenths_mj_m2) IS NOT NULL",
            name=op.f("ck_weather_day_says_something"),
        ),
        sa.ForeignKeyConstraint(
            ["batch_id"], ["import_batch.id"], name=op.f("fk_weather_day_batch_id_import_batch")
        ),
        sa.ForeignKeyConstraint(
            ["district_id"], ["district.id"], name=op.f("fk_weather_day_district_id_district")
        ),
        sa.PrimaryKeyConstraint("district_id", "day", "batch_id", name=op.f("pk_weather_day")),
    )
    op.create_index("ix_weather_day_batch_id", "weather_day", ["batch_id"], unique=False)
    op.create_table(
        "weather_hour",
        sa.Column("district_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("batch_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("observed", sa.Boolean(), nullable=False),
        sa.Column("issued_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("air_tenths_c", sa.SmallInteger(), nullable=True),
        sa.Column("rain_tenths_mm", sa.Integer(), nullable=True),
        sa.Column("humidity_tenths_percent", sa.SmallInteger(), nullable=True),
        sa.Column("wet_minutes", sa.SmallInteger(), nullable=True),
        sa.CheckConstraint("observed = (issued_at IS NULL)", name=op.f("ck_weather_hour_forecast_is_issued")),
        sa.CheckConstraint(
            "coalesce(air_tenths_c, rain_tenths_mm, humidity_tenths_percent, wet_minutes) IS NOT NULL",
            name=op.f("ck_weather_hour_says_something"),
        ),
        sa.ForeignKeyConstraint(
            ["batch_id"], ["import_batch.id"], name=op.f("fk_weather_hour_batch_id_import_batch")
        ),
        sa.ForeignKeyConstraint(
            ["district_id"], ["district.id"], name=op.f("fk_weather_hour_district_id_district")
        ),
        sa.PrimaryKeyConstraint("district_id", "at", "batch_id", name=op.f("pk_weather_hour")),
    )
    op.create_index("ix_weather_hour_batch_id", "weather_hour", ["batch_id"], unique=False)

    op.create_table(
        "danger",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("district_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("hazard", sa.Text(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("level", sa.SmallInteger(), nullable=False),
        sa.Column("figure", sa.Integer(), nullable=True),
        sa.Column("metres_from", sa.Integer(), nullable=True),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("state", sa.Text(), nullable=False),
        sa.Column("found_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("settled_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("settled_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("alert_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("village_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("pest", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["alert_id"], ["alert.id"], name=op.f("fk_danger_alert_id_alert")),
        sa.ForeignKeyConstraint(
            ["district_id"], ["district.id"], name=op.f("fk_danger_district_id_district")
        ),
        sa.ForeignKeyConstraint(["settled_by"], ["officer.id"], name=op.f("fk_danger_settled_by_officer")),
        sa.ForeignKeyConstraint(["village_id"], ["village.id"], name=op.f("fk_danger_village_id_village")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_danger")),
    )
    op.create_index("ix_danger_day_district_id", "danger", ["day", "district_id"], unique=False)
    op.create_index(
        "uq_danger_district_id_hazard_day",
        "danger",
        ["district_id", "hazard", "day"],
        unique=True,
        sqlite_where=sa.text("village_id IS NULL"),
        postgresql_where=sa.text("village_id IS NULL"),
    )
    op.create_index(
        "uq_danger_village_id_pest_day",
        "danger",
        ["village_id", "pest", "day"],
        unique=True,
        sqlite_where=sa.text("village_id IS NOT NULL"),
        postgresql_where=sa.text("village_id IS NOT NULL"),
    )
    op.create_index(
        "ix_danger_alert_id",
        "danger",
        ["alert_id"],
        unique=False,
        sqlite_where=sa.text("alert_id IS NOT NULL"),
        postgresql_where=sa.text("alert_id IS NOT NULL"),
    )

    op.create_table(
        "container",
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("millilitres", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("millilitres > 0", name=op.f("ck_container_millilitres_positive")),
        sa.ForeignKeyConstraint(["farmer_id"], ["farmer.id"], name=op.f("fk_container_farmer_id_farmer")),
        sa.PrimaryKeyConstraint("farmer_id", name=op.f("pk_container")),
    )
    op.create_table(
        "vessel",
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("grams", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("grams > 0", name=op.f("ck_vessel_grams_positive")),
        sa.ForeignKeyConstraint(["farmer_id"], ["farmer.id"], name=op.f("fk_vessel_farmer_id_farmer")),
        sa.PrimaryKeyConstraint("farmer_id", "kind", name=op.f("pk_vessel")),
    )
    op.create_table(
        "rain_report",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("tenths_mm", sa.Integer(), nullable=False),
        sa.Column("inbound_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("voided_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.CheckConstraint("tenths_mm >= 0", name=op.f("ck_rain_report_tenths_mm_not_negative")),
        sa.ForeignKeyConstraint(["farmer_id"], ["farmer.id"], name=op.f("fk_rain_report_farmer_id_farmer")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_rain_report")),
    )
    op.create_index("ix_rain_report_farmer_id_day", "rain_report", ["farmer_id", "day"], unique=False)
    op.create_index("ix_rain_report_phone_id_at", "rain_report", ["phone_id", "at"], unique=False)
    op.create_table(
        "spray",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("plot_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sprayed_on", sa.Date(), nullable=False),
        sa.Column("label_days", sa.SmallInteger(), nullable=True),
        sa.Column("pick_from", sa.Date(), nullable=False),
        sa.Column("picked_first", sa.Boolean(), server_default=sa.text("false"), nullable=False),
        sa.Column("inbound_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("voided_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("voided_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.CheckConstraint("label_days > 0", name=op.f("ck_spray_days_positive")),
        sa.CheckConstraint("pick_from > sprayed_on", name=op.f("ck_spray_ends_after")),
        sa.CheckConstraint(
            "inbound_id IS NOT NULL OR officer_id IS NOT NULL", name=op.f("ck_spray_told_by_somebody")
        ),
        sa.ForeignKeyConstraint(["officer_id"], ["officer.id"], name=op.f("fk_spray_officer_id_officer")),
        sa.ForeignKeyConstraint(["plot_id"], ["plot.id"], name=op.f("fk_spray_plot_id_plot")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_spray")),
    )
    op.create_index(op.f("ix_spray_inbound_id"), "spray", ["inbound_id"], unique=False)
    op.create_index("ix_spray_phone_id_at", "spray", ["phone_id", "at"], unique=False)
    op.create_index(
        "ix_spray_pick_from",
        "spray",
        ["pick_from"],
        unique=False,
        sqlite_where=sa.text("voided_at IS NULL"),
        postgresql_where=sa.text("voided_at IS NULL"),
    )
    op.create_index("ix_spray_plot_id_pick_from", "spray", ["plot_id", "pick_from"], unique=False)
    op.create_table(
        "experiment",
        sa.Column("id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("topic", sa.Text(), nullable=False),
        sa.Column("percent", sa.SmallInteger(), nullable=False),
        sa.Column("salt", sa.Text(), nullable=False),
        sa.Column("began_on", sa.Date(), nullable=False),
        sa.Column("ends_on", sa.Date(), nullable=True),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.CheckConstraint("percent BETWEEN 1 AND 99", name=op.f("ck_experiment_both_arms")),
        sa.ForeignKeyConstraint(
            ["officer_id"], ["officer.id"], name=op.f("fk_experiment_officer_id_officer")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_experiment")),
    )
    op.create_index(
        "uq_experiment_for_ever",
        "experiment",
        ["topic"],
        unique=True,
        sqlite_where=sa.text("ends_on IS NULL"),
        postgresql_where=sa.text("ends_on IS NULL"),
    )
    op.create_table(
        "sale",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("plot_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("sold_on", sa.Date(), nullable=False),
        sa.Column("grams", sa.Integer(), nullable=False),
        sa.Column("minor", sa.BigInteger(), nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("buyer", sa.Text(), nullable=True),
        sa.Column("besides", sa.Boolean(), server_default=sa.text("false"), nullable=False),
        sa.Column("inbound_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("voided_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("voided_by_officer", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.CheckConstraint("grams > 0", name=op.f("ck_sale_grams_positive")),
        sa.CheckConstraint("minor > 0", name=op.f("ck_sale_minor_positive")),
        sa.ForeignKeyConstraint(["officer_id"], ["officer.id"], name=op.f("fk_sale_officer_id_officer")),
        sa.ForeignKeyConstraint(
            ["voided_by_officer"], ["officer.id"], name=op.f("fk_sale_voided_by_officer_officer")
        ),
        sa.ForeignKeyConstraint(["plot_id"], ["plot.id"], name=op.f("fk_sale_plot_id_plot")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sale")),
    )
    op.create_index("ix_sale_phone_id_at", "sale", ["phone_id", "at"], unique=False)
    op.create_index("ix_sale_plot_id_sold_on", "sale", ["plot_id", "sold_on"], unique=False)
    op.create_table(
        "cost",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("plot_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("spent_on", sa.Date(), nullable=False),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("minor", sa.BigInteger(), nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("inbound_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("voided_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("voided_by_officer", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.CheckConstraint("minor > 0", name=op.f("ck_cost_minor_positive")),
        sa.ForeignKeyConstraint(["officer_id"], ["officer.id"], name=op.f("fk_cost_officer_id_officer")),
        sa.ForeignKeyConstraint(
            ["voided_by_officer"], ["officer.id"], name=op.f("fk_cost_voided_by_officer_officer")
        ),
        sa.ForeignKeyConstraint(["plot_id"], ["plot.id"], name=op.f("fk_cost_plot_id_plot")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_cost")),
    )
    op.create_index("ix_cost_phone_id_at", "cost", ["phone_id", "at"], unique=False)
    op.create_index("ix_cost_plot_id_spent_on", "cost", ["plot_id", "spent_on"], unique=False)
    op.create_table(
        "price",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("district_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("market", sa.Text(), nullable=False),
        sa.Column("crop_class", sa.Text(), nullable=False),
        sa.Column("minor", sa.BigInteger(), nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("quoted_on", sa.Date(), nullable=False),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.CheckConstraint("minor > 0", name=op.f("ck_price_minor_positive")),
        sa.ForeignKeyConstraint(["district_id"], ["district.id"], name=op.f("fk_price_district_id_district")),
        sa.ForeignKeyConstraint(["officer_id"], ["officer.id"], name=op.f("fk_price_officer_id_officer")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_price")),
    )
    op.create_index("ix_price_district_id_quoted_on", "price", ["district_id", "quoted_on"], unique=False)
    op.create_table(
        "estimate",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("for_day", sa.Date(), nullable=False),
        sa.Column("grams", sa.Integer(), nullable=False),
        sa.Column("inbound_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("phone_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("voided_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.CheckConstraint("grams >= 0", name=op.f("ck_estimate_grams_not_negative")),
        sa.ForeignKeyConstraint(["farmer_id"], ["farmer.id"], name=op.f("fk_estimate_farmer_id_farmer")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_estimate")),
    )
    op.create_index("ix_estimate_farmer_id_for_day", "estimate", ["farmer_id", "for_day"], unique=False)
    op.create_index("ix_estimate_phone_id_at", "estimate", ["phone_id", "at"], unique=False)
    op.create_table(
        "payment",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("amount", sa.Integer(), nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("paid_on", sa.Date(), nullable=False),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("voided_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("voided_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.CheckConstraint("amount >= 0", name=op.f("ck_payment_amount_not_negative")),
        sa.ForeignKeyConstraint(["farmer_id"], ["farmer.id"], name=op.f("fk_payment_farmer_id_farmer")),
        sa.ForeignKeyConstraint(["officer_id"], ["officer.id"], name=op.f("fk_payment_officer_id_officer")),
        sa.ForeignKeyConstraint(["voided_by"], ["officer.id"], name=op.f("fk_payment_voided_by_officer")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_payment")),
    )
    op.create_index(op.f("ix_payment_farmer_id"), "payment", ["farmer_id"], unique=False)
    op.create_table(
        "delivery",
        sa.Column(
            "id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), autoincrement=False, nullable=False
        ),
        sa.Column("collection_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("farmer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("accepted_g", sa.Integer(), nullable=False),
        sa.Column("rejected_g", sa.Integer(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.Column("words", sa.Text(), nullable=False),
        sa.Column("under_hold", sa.Boolean(), nullable=False),
        sa.Column("price", sa.Integer(), nullable=False),
        sa.Column("amount", sa.Integer(), nullable=False),
        sa.Column("currency", sa.Text(), nullable=False),
        sa.Column("officer_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("payment_id", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.Column("voided_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("voided_by", sa.BigInteger().with_variant(sa.Integer(), "sqlite"), nullable=True),
        sa.CheckConstraint("accepted_g = 0 OR NOT under_hold", name=op.f("ck_delivery_nothing_under_a_hold")),
        sa.CheckConstraint(
            "accepted_g >= 0 AND rejected_g >= 0 AND price >= 0", name=op.f("ck_delivery_not_negative")
        ),
        sa.CheckConstraint("payment_id IS NULL OR voided_at IS NULL", name=op.f("ck_delivery_paid_is_kept")),
        sa.CheckConstraint(
            "rejected_g = 0 OR reason IS NOT NULL", name=op.f("ck_delivery_rejected_for_a_reason")
        ),
        sa.ForeignKeyConstraint(
            ["collection_id"], ["collection.id"], name=op.f("fk_delivery_collection_id_collection")
        ),
        sa.ForeignKeyConstraint(["farmer_id"], ["farmer.id"], name=op.f("fk_delivery_farmer_id_farmer")),
        sa.ForeignKeyConstraint(["officer_id"], ["officer.id"], name=op.f("fk_delivery_officer_id_officer")),
        sa.ForeignKeyConstraint(["payment_id"], ["payment.id"], name=op.f("fk_delivery_payment_id_payment")),
        sa.ForeignKeyConstraint(["voided_by"], ["officer.id"], name=op.f("fk_delivery_voided_by_officer")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_delivery")),
    )
    op.create_index("ix_delivery_collection_id_day", "delivery", ["collection_id", "day"], unique=False)
    op.create_index("ix_delivery_farmer_id_day", "delivery", ["farmer_id", "day"], unique=False)
    op.create_index(op.f("ix_delivery_payment_id"), "delivery", ["payment_id"], unique=False)
    op.create_index(
        "uq_delivery_collection_id_day_farmer_id",
        "delivery",
        ["collection_id", "day", "farmer_id"],
        unique=True,
        sqlite_where=sa.text("voided_at IS NULL"),
        postgresql_where=sa.text("voided_at IS NULL"),
    )


def downgrade() -> None:
    """There is nothing before the first version."""
    raise NotImplementedError("a database cannot be taken back before its first version")
