"""The first tables, and triggers that let nobody rewrite by accident what is kept for good."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

KEPT_FOR_GOOD = {
    "audit": ("UPDATE", "DELETE"),
    "ruling": ("UPDATE", "DELETE"),
    "revision": ("UPDATE",),
    "assessment": ("UPDATE",),
}
FIRST_HASH = "0" * 64


def upgrade() -> None:
    op.create_table(
        "assessment",
        sa.Column("id", sa.String(length=32), nullable=False),
        sa.Column("standing", sa.String(length=8), nullable=False),
        sa.Column("engine", sa.String(length=120), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("kept_at", sa.String(length=27), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_assessment")),
    )
    op.create_table(
        "audit",
        sa.Column("number", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("at", sa.String(length=27), nullable=False),
        sa.Column("who", sa.String(length=120), nullable=False),
        sa.Column("what", sa.String(length=40), nullable=False),
        sa.Column("subject", sa.String(length=200), nullable=False),
        sa.Column("payload", sa.Text(), nullable=False),
        sa.Column("previous", sa.String(length=64), nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.PrimaryKeyConstraint("number", name=op.f("pk_audit")),
    )
    op.create_index(op.f("ix_audit_subject"), "audit", ["subject"], unique=False)
    op.create_table(
        "audit_head",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_audit_head_only_one")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_audit_head")),
    )
    op.create_table(
        "launch_day",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("date", sa.String(length=10), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("conditions_revision", sa.Integer(), nullable=False),
        sa.Column("forecast_revision", sa.Integer(), nullable=False),
        sa.Column("entries_numbered", sa.Integer(), server_default="0", nullable=False),
        sa.Column("created_at", sa.String(length=27), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_launch_day")),
    )
    op.create_table(
        "person",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("login", sa.String(length=64), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("password_hash", sa.String(length=400), nullable=False),
        sa.Column("units", sa.String(length=2), server_default="si", nullable=False),
        sa.Column("active", sa.Boolean(), server_default=sa.text("true"), nullable=False),
        sa.Column("epoch", sa.Integer(), server_default="1", nullable=False),
        sa.Column("revision", sa.Integer(), server_default="1", nullable=False),
        sa.Column("created_at", sa.String(length=27), nullable=False),
        sa.CheckConstraint("units IN ('si', 'us')", name=op.f("ck_person_units")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("login", name=op.f("uq_person_login")),
    )
    op.create_table(
        "setting",
        sa.Column("name", sa.String(length=64), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("at", sa.String(length=27), nullable=False),
        sa.Column("by", sa.String(length=120), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_setting")),
    )
    op.create_table(
        "signing_key",
        sa.Column("name", sa.String(length=64), nullable=False),
        sa.Column("encrypted_pem", sa.Text(), nullable=False),
        sa.Column("certificate_pem", sa.Text(), nullable=False),
        sa.Column("created_at", sa.String(length=27), nullable=False),
        sa.PrimaryKeyConstraint("name", name=op.f("pk_signing_key")),
    )
    op.create_table(
        "api_token",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("person_id", sa.String(length=64), nullable=False),
        sa.Column("token_sha256", sa.String(length=64), nullable=False),
        sa.Column("label", sa.String(length=120), nullable=False),
        sa.Column("created_at", sa.String(length=27), nullable=False),
        sa.Column("expires_at", sa.String(length=27), nullable=True),
        sa.Column("revoked_at", sa.String(length=27), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_api_token_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_api_token")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_api_token_token_sha256")),
    )
    op.create_index(op.f("ix_api_token_person_id"), "api_token", ["person_id"], unique=False)
    op.create_table(
        "attestation",
        sa.Column("day_id", sa.String(length=64), nullable=False),
        sa.Column("entry_id", sa.String(length=64), nullable=False),
        sa.Column("rule", sa.String(length=64), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["day_id"], ["launch_day.id"], name=op.f("fk_attestation_day_id")),
        sa.PrimaryKeyConstraint("day_id", "entry_id", "rule", name=op.f("pk_attestation")),
    )
    op.create_table(
        "motor",
        sa.Column("day_id", sa.String(length=64), nullable=False),
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("stock", sa.Integer(), nullable=True),
        sa.Column("reserved", sa.Integer(), server_default="0", nullable=False),
        sa.Column("removed", sa.Boolean(), server_default=sa.text("false"), nullable=False),
        sa.CheckConstraint(
            "reserved >= 0 AND (stock IS NULL OR (stock >= 0 AND reserved <= stock))", name=op.f("ck_motor_stock")
        ),
        sa.ForeignKeyConstraint(["day_id"], ["launch_day.id"], name=op.f("fk_motor_day_id")),
        sa.PrimaryKeyConstraint("day_id", "id", name=op.f("pk_motor")),
    )
    op.create_table(
        "revision",
        sa.Column("day_id", sa.String(length=64), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("at", sa.String(length=27), nullable=False),
        sa.Column("by", sa.String(length=120), nullable=False),
        sa.Column("why", sa.String(length=500), server_default="", nullable=False),
        sa.CheckConstraint(
            "kind IN ('day', 'conditions', 'forecast', 'motor', 'entry', 'flight')", name=op.f("ck_revision_kind")
        ),
        sa.ForeignKeyConstraint(["day_id"], ["launch_day.id"], name=op.f("fk_revision_day_id")),
        sa.PrimaryKeyConstraint("day_id", "kind", "id", "revision", name=op.f("pk_revision")),
    )
    op.create_table(
        "role",
        sa.Column("person_id", sa.String(length=64), nullable=False),
        sa.Column("role", sa.String(length=16), nullable=False),
        sa.Column("day_id", sa.String(length=64), nullable=False),
        sa.CheckConstraint("role IN ('organiser', 'rso')", name=op.f("ck_role_role")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_role_person_id")),
        sa.PrimaryKeyConstraint("person_id", "role", "day_id", name=op.f("pk_role")),
    )
    op.create_table(
        "entry",
        sa.Column("day_id", sa.String(length=64), nullable=False),
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("withdrawn", sa.Boolean(), server_default=sa.text("false"), nullable=False),
        sa.Column("motor_id", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(
            ["day_id", "motor_id"], ["motor.day_id", "motor.id"], name=op.f("fk_entry_day_id_motor_id")
        ),
        sa.ForeignKeyConstraint(["day_id"], ["launch_day.id"], name=op.f("fk_entry_day_id")),
        sa.PrimaryKeyConstraint("day_id", "id", name=op.f("pk_entry")),
    )
    op.create_table(
        "current_assessment",
        sa.Column("day_id", sa.String(length=64), nullable=False),
        sa.Column("entry_id", sa.String(length=64), nullable=False),
        sa.Column("assessment_id", sa.String(length=32), nullable=False),
        sa.Column("day_revision", sa.Integer(), nullable=False),
        sa.Column("conditions_revision", sa.Integer(), nullable=False),
        sa.Column("motor_revision", sa.Integer(), nullable=False),
        sa.Column("entry_revision", sa.Integer(), nullable=False),
        sa.Column("at", sa.String(length=27), nullable=False),
        sa.ForeignKeyConstraint(["assessment_id"], ["assessment.id"], name=op.f("fk_current_assessment_assessment_id")),
        sa.ForeignKeyConstraint(
            ["day_id", "entry_id"], ["entry.day_id", "entry.id"], name=op.f("fk_current_assessment_day_id_entry_id")
        ),
        sa.PrimaryKeyConstraint("day_id", "entry_id", name=op.f("pk_current_assessment")),
    )
    op.create_table(
        "flight",
        sa.Column("day_id", sa.String(length=64), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("entry_id", sa.String(length=64), nullable=False),
        sa.Column("entry_revision", sa.Integer(), nullable=False),
        sa.Column("assessment_id", sa.String(length=32), nullable=True),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(["assessment_id"], ["assessment.id"], name=op.f("fk_flight_assessment_id")),
        sa.ForeignKeyConstraint(
            ["day_id", "entry_id"], ["entry.day_id", "entry.id"], name=op.f("fk_flight_day_id_entry_id")
        ),
        sa.ForeignKeyConstraint(["day_id"], ["launch_day.id"], name=op.f("fk_flight_day_id")),
        sa.PrimaryKeyConstraint("day_id", "number", name=op.f("pk_flight")),
    )
    op.create_table(
        "link",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("day_id", sa.String(length=64), nullable=False),
        sa.Column("entry_id", sa.String(length=64), nullable=False),
        sa.Column("token_sha256", sa.String(length=64), nullable=False),
        sa.Column("created_at", sa.String(length=27), nullable=False),
        sa.Column("revoked_at", sa.String(length=27), nullable=True),
        sa.ForeignKeyConstraint(
            ["day_id", "entry_id"], ["entry.day_id", "entry.id"], name=op.f("fk_link_day_id_entry_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_link")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_link_token_sha256")),
    )
    op.create_index(op.f("ix_link_day_id_entry_id"), "link", ["day_id", "entry_id"], unique=False)
    op.create_table(
        "reservation",
        sa.Column("day_id", sa.String(length=64), nullable=False),
        sa.Column("entry_id", sa.String(length=64), nullable=False),
        sa.Column("motor_id", sa.String(length=64), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.CheckConstraint("count > 0", name=op.f("ck_reservation_count")),
        sa.ForeignKeyConstraint(
            ["day_id", "entry_id"], ["entry.day_id", "entry.id"], name=op.f("fk_reservation_day_id_entry_id")
        ),
        sa.ForeignKeyConstraint(
            ["day_id", "motor_id"], ["motor.day_id", "motor.id"], name=op.f("fk_reservation_day_id_motor_id")
        ),
        sa.PrimaryKeyConstraint("day_id", "entry_id", name=op.f("pk_reservation")),
    )
    op.create_table(
        "ruling",
        sa.Column("day_id", sa.String(length=64), nullable=False),
        sa.Column("entry_id", sa.String(length=64), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("assessment_id", sa.String(length=32), nullable=False),
        sa.Column("word", sa.String(length=8), nullable=False),
        sa.Column("document", sa.Text(), nullable=False),
        sa.Column("role", sa.String(length=40), nullable=False),
        sa.Column("at", sa.String(length=27), nullable=False),
        sa.Column("by", sa.String(length=120), nullable=False),
        sa.CheckConstraint("word IN ('approved', 'held', 'refused')", name=op.f("ck_ruling_word")),
        sa.ForeignKeyConstraint(["assessment_id"], ["assessment.id"], name=op.f("fk_ruling_assessment_id")),
        sa.ForeignKeyConstraint(
            ["day_id", "entry_id"], ["entry.day_id", "entry.id"], name=op.f("fk_ruling_day_id_entry_id")
        ),
        sa.PrimaryKeyConstraint("day_id", "entry_id", "number", name=op.f("pk_ruling")),
    )
    op.create_table(
        "sheet",
        sa.Column("id", sa.String(length=64), nullable=False),
        sa.Column("day_id", sa.String(length=64), nullable=False),
        sa.Column("entry_id", sa.String(length=64), nullable=True),
        sa.Column("pdf_sha256", sa.String(length=64), nullable=False),
        sa.Column("pdf", sa.LargeBinary(), nullable=False),
        sa.Column("at", sa.String(length=27), nullable=False),
        sa.Column("by", sa.String(length=120), nullable=False),
        sa.ForeignKeyConstraint(
            ["day_id", "entry_id"], ["entry.day_id", "entry.id"], name=op.f("fk_sheet_day_id_entry_id")
        ),
        sa.ForeignKeyConstraint(["day_id"], ["launch_day.id"], name=op.f("fk_sheet_day_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sheet")),
    )
    op.create_index(op.f("ix_sheet_day_id"), "sheet", ["day_id"], unique=False)
    op.bulk_insert(
        sa.table("audit_head", sa.column("id"), sa.column("number"), sa.column("hash")),
        [{"id": 1, "number": 0, "hash": FIRST_HASH}],
    )
    _keep()


def downgrade() -> None:
    op.drop_index(op.f("ix_sheet_day_id"), table_name="sheet")
    op.drop_table("sheet")
    op.drop_table("ruling")
    op.drop_table("reservation")
    op.drop_index(op.f("ix_link_day_id_entry_id"), table_name="link")
    op.drop_table("link")
    op.drop_table("flight")
    op.drop_table("current_assessment")
    op.drop_table("entry")
    op.drop_table("role")
    op.drop_table("revision")
    op.drop_table("motor")
    op.drop_table("attestation")
    op.drop_index(op.f("ix_api_token_person_id"), table_name="api_token")
    op.drop_table("api_token")
    op.drop_table("signing_key")
    op.drop_table("setting")
    op.drop_table("person")
    op.drop_table("launch_day")
    op.drop_table("audit_head")
    op.drop_index(op.f("ix_audit_subject"), table_name="audit")
    op.drop_table("audit")
    op.drop_table("assessment")
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION kept_for_good()")


def _keep() -> None:
    on_postgresql = op.get_bind().dialect.name == "postgresql"
    if on_postgresql:
        op.execute(
            "CREATE FUNCTION kept_for_good() RETURNS trigger LANGUAGE plpgsql AS "
            "$$ BEGIN RAISE EXCEPTION '% is kept for good', TG_TABLE_NAME; END $$"
        )
    for table, verbs in KEPT_FOR_GOOD.items():
        for verb in verbs:
            name = f"kept_{table}_{verb.lower()}"
            if on_postgresql:
                body = "FOR EACH ROW EXECUTE FUNCTION kept_for_good()"
            else:
                body = f"BEGIN SELECT RAISE(ABORT, '{table} is kept for good'); END"
            op.execute(f"CREATE TRIGGER {name} BEFORE {verb} ON {table} {body}")
