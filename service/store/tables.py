"""The tables.

What people edit is kept whole, as the JSON of its model, one row of `revision` for each time it was saved;
the tables beside it say which revision counts. Times are texts in UTC to the microsecond: both databases sort
and return them alike, and a hash over them stays true.
"""

from __future__ import annotations

from sqlalchemy import (
    Boolean,
    CheckConstraint,
    Column,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    text,
)

metadata = MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ck": "ck_%(table_name)s_%(constraint_name)s",
        "fk": "fk_%(table_name)s_%(column_0_N_name)s",
        "pk": "pk_%(table_name)s",
    }
)

ID = String(64)
WHEN = String(27)
WHO = String(120)
SHA256 = String(64)


def _of_entry() -> ForeignKeyConstraint:
    return ForeignKeyConstraint(["day_id", "entry_id"], ["entry.day_id", "entry.id"])


launch_day = Table(
    "launch_day",
    metadata,
    Column("id", ID, primary_key=True),
    Column("name", WHO, nullable=False),
    Column("date", String(10), nullable=False),
    Column("revision", Integer, nullable=False),
    Column("conditions_revision", Integer, nullable=False),
    Column("forecast_revision", Integer, nullable=False),
    Column("entries_numbered", Integer, nullable=False, server_default="0"),
    Column("created_at", WHEN, nullable=False),
)

revision = Table(
    "revision",
    metadata,
    Column("day_id", ID, ForeignKey("launch_day.id"), primary_key=True),
    Column("kind", String(16), primary_key=True),
    Column("id", ID, primary_key=True),
    Column("revision", Integer, primary_key=True),
    Column("document", Text, nullable=False),
    Column("at", WHEN, nullable=False),
    Column("by", WHO, nullable=False),
    Column("why", String(500), nullable=False, server_default=""),
    Column("salt", SHA256),  # of what it holds of a person; none once that is erased (personal.py)
    Column("personal", SHA256),
    CheckConstraint("kind IN ('day', 'conditions', 'forecast', 'motor', 'entry', 'flight')", name="kind"),
)

motor = Table(
    "motor",
    metadata,
    Column("day_id", ID, ForeignKey("launch_day.id"), primary_key=True),
    Column("id", ID, primary_key=True),
    Column("position", Integer, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("stock", Integer),
    Column("reserved", Integer, nullable=False, server_default="0"),
    Column("removed", Boolean, nullable=False, server_default=text("false")),
    CheckConstraint("reserved >= 0 AND (stock IS NULL OR (stock >= 0 AND reserved <= stock))", name="stock"),
)

entry = Table(
    "entry",
    metadata,
    Column("day_id", ID, ForeignKey("launch_day.id"), primary_key=True),
    Column("id", ID, primary_key=True),
    Column("position", Integer, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("withdrawn", Boolean, nullable=False, server_default=text("false")),
    Column("motor_id", ID, nullable=False),
    ForeignKeyConstraint(["day_id", "motor_id"], ["motor.day_id", "motor.id"]),
)

reservation = Table(
    "reservation",
    metadata,
    Column("day_id", ID, primary_key=True),
    Column("entry_id", ID, primary_key=True),
    Column("motor_id", ID, nullable=False),
    Column("count", Integer, nullable=False),
    CheckConstraint("count > 0", name="count"),
    _of_entry(),
    ForeignKeyConstraint(["day_id", "motor_id"], ["motor.day_id", "motor.id"]),
)

attestation = Table(
    "attestation",
    metadata,
    Column("day_id", ID, ForeignKey("launch_day.id"), primary_key=True),
    Column("entry_id", ID, primary_key=True),  # empty for what is seen to once for the day
    Column("rule", ID, primary_key=True),
    Column("position", Integer, nullable=False),
    Column("document", Text, nullable=False),
)

assessment = Table(
    "assessment",
    metadata,
    Column("id", String(32), primary_key=True),
    Column("standing", String(8), nullable=False),
    Column("engine", WHO, nullable=False),
    Column("document", Text, nullable=False),
    Column("kept_at", WHEN, nullable=False),
)

current_assessment = Table(
    "current_assessment",
    metadata,
    Column("day_id", ID, primary_key=True),
    Column("entry_id", ID, primary_key=True),
    Column("assessment_id", String(32), ForeignKey("assessment.id"), nullable=False),
    Column("day_revision", Integer, nullable=False),
    Column("conditions_revision", Integer, nullable=False),
    Column("motor_revision", Integer, nullable=False),
    Column("entry_revision", Integer, nullable=False),
    Column("at", WHEN, nullable=False),
    _of_entry(),
)

sweep = Table(
    "sweep",
    metadata,
    Column("day_id", ID, ForeignKey("launch_day.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("started_at", WHEN, nullable=False),
    Column("finished_at", WHEN),
)

moved = Table(
    "moved",
    metadata,
    Column("day_id", ID, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("entry_id", ID, primary_key=True),
    Column("before_id", String(32)),
    Column("before_standing", String(8)),
    Column("before_at", WHEN),
    Column("after_id", String(32), nullable=False),
    Column("after_standing", String(8), nullable=False),
    Column("lapsed", Boolean, nullable=False, server_default=text("false")),
    ForeignKeyConstraint(["day_id", "number"], ["sweep.day_id", "sweep.number"]),
)

ruling = Table(
    "ruling",
    metadata,
    Column("day_id", ID, primary_key=True),
    Column("entry_id", ID, primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("assessment_id", String(32), ForeignKey("assessment.id"), nullable=False),
    Column("word", String(8), nullable=False),
    Column("document", Text, nullable=False),
    Column("role", String(40), nullable=False),
    Column("at", WHEN, nullable=False),
    Column("by", WHO, nullable=False),
    CheckConstraint("word IN ('approved', 'held', 'refused')", name="word"),
    _of_entry(),
)

flight = Table(
    "flight",
    metadata,
    Column("day_id", ID, ForeignKey("launch_day.id"), primary_key=True),
    Column("number", Integer, primary_key=True),
    Column("entry_id", ID, nullable=False),
    Column("entry_revision", Integer, nullable=False),
    Column("assessment_id", String(32), ForeignKey("assessment.id")),
    Column("revision", Integer, nullable=False),
    _of_entry(),
)

person = Table(
    "person",
    metadata,
    Column("id", ID, primary_key=True),
    Column("login", ID, nullable=False, unique=True),
    Column("name", WHO, nullable=False),
    Column("password_hash", String(400), nullable=False),
    Column("units", String(2), nullable=False, server_default="si"),
    Column("active", Boolean, nullable=False, server_default=text("true")),
    Column("epoch", Integer, nullable=False, server_default="1"),
    Column("revision", Integer, nullable=False, server_default="1"),
    Column("created_at", WHEN, nullable=False),
    Column("first_password", Boolean, nullable=False, server_default=text("false")),  # made by somebody else
    CheckConstraint("units IN ('si', 'us')", name="units"),
)

role = Table(
    "role",
    metadata,
    Column("person_id", ID, ForeignKey("person.id"), primary_key=True),
    Column("role", String(16), primary_key=True),
    Column("day_id", ID, primary_key=True),  # empty for every launch day
    CheckConstraint("role IN ('organiser', 'rso')", name="role"),
)

api_token = Table(
    "api_token",
    metadata,
    Column("id", ID, primary_key=True),
    Column("person_id", ID, ForeignKey("person.id"), nullable=False, index=True),
    Column("token_sha256", SHA256, nullable=False, unique=True),
    Column("label", WHO, nullable=False),
    Column("created_at", WHEN, nullable=False),
    Column("expires_at", WHEN),
    Column("revoked_at", WHEN),
)

link = Table(
    "link",
    metadata,
    Column("id", ID, primary_key=True),
    Column("day_id", ID, nullable=False),
    Column("entry_id", ID, nullable=False),
    Column("token_sha256", SHA256, nullable=False, unique=True),
    Column("created_at", WHEN, nullable=False),
    Column("revoked_at", WHEN),
    Index(None, "day_id", "entry_id"),
    _of_entry(),
)

sheet = Table(
    "sheet",
    metadata,
    Column("id", ID, primary_key=True),
    Column("day_id", ID, ForeignKey("launch_day.id"), nullable=False, index=True),
    Column("entry_id", ID),
    Column("pdf_sha256", SHA256, nullable=False),
    Column("pdf", LargeBinary, nullable=False),
    Column("at", WHEN, nullable=False),
    Column("by", WHO, nullable=False),
    _of_entry(),
)

signing_key = Table(
    "signing_key",
    metadata,
    Column("name", ID, primary_key=True),
    Column("encrypted_pem", Text, nullable=False),
    Column("certificate_pem", Text, nullable=False),
    Column("created_at", WHEN, nullable=False),
)

setting = Table(
    "setting",
    metadata,
    Column("name", ID, primary_key=True),
    Column("value", Text, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("at", WHEN, nullable=False),
    Column("by", WHO, nullable=False),
)

audit = Table(
    "audit",
    metadata,
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("at", WHEN, nullable=False),
    Column("who", WHO, nullable=False),
    Column("what", String(40), nullable=False),
    Column("subject", String(200), nullable=False, index=True),
    Column("payload", Text, nullable=False),
    Column("previous", SHA256, nullable=False),
    Column("hash", SHA256, nullable=False),
)

audit_head = Table(
    "audit_head",
    metadata,
    Column("id", Integer, primary_key=True, autoincrement=False),
    Column("number", Integer, nullable=False),
    Column("hash", SHA256, nullable=False),
    CheckConstraint("id = 1", name="only_one"),
)
