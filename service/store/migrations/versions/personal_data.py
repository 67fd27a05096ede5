"""Personal data that can be erased, first passwords, and what each pass over a day changed."""

import hashlib
import json
import secrets
from datetime import UTC, datetime

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

SAME = ("day_id", "kind", "id", "revision", "at", "by", "why", "personal")
ERASING = "OLD.salt IS NOT NULL AND NEW.salt IS NULL AND " + " AND ".join(
    f'NEW."{each}" = OLD."{each}"' for each in SAME
)
SEALED = ("day_id", "kind", "id", "revision", "document", "at", "by", "why")
A_RECORD = 2000  # rows; their seals take some 300 kB


def upgrade() -> None:
    op.add_column("person", sa.Column("first_password", sa.Boolean(), server_default=sa.text("false"), nullable=False))
    op.add_column("revision", sa.Column("salt", sa.String(length=64), nullable=True))
    op.add_column("revision", sa.Column("personal", sa.String(length=64), nullable=True))
    op.create_table(
        "sweep",
        sa.Column("day_id", sa.String(length=64), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("started_at", sa.String(length=27), nullable=False),
        sa.Column("finished_at", sa.String(length=27), nullable=True),
        sa.ForeignKeyConstraint(["day_id"], ["launch_day.id"], name=op.f("fk_sweep_day_id")),
        sa.PrimaryKeyConstraint("day_id", "number", name=op.f("pk_sweep")),
    )
    op.create_table(
        "moved",
        sa.Column("day_id", sa.String(length=64), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("entry_id", sa.String(length=64), nullable=False),
        sa.Column("before_id", sa.String(length=32), nullable=True),
        sa.Column("before_standing", sa.String(length=8), nullable=True),
        sa.Column("before_at", sa.String(length=27), nullable=True),
        sa.Column("after_id", sa.String(length=32), nullable=False),
        sa.Column("after_standing", sa.String(length=8), nullable=False),
        sa.Column("lapsed", sa.Boolean(), server_default=sa.text("false"), nullable=False),
        sa.ForeignKeyConstraint(
            ["day_id", "number"], ["sweep.day_id", "sweep.number"], name=op.f("fk_moved_day_id_number")
        ),
        sa.PrimaryKeyConstraint("day_id", "number", "entry_id", name=op.f("pk_moved")),
    )
    _let_go("revision", "assessment")
    seals = {**_salt_entries(), **_bare_assessments()}
    labels = sorted(seals)
    for start in range(0, len(labels), A_RECORD):
        _record({label: seals[label] for label in labels[start : start + A_RECORD]})
    _keep("revision", f"NOT ({ERASING})")
    _keep("assessment")


def downgrade() -> None:
    op.drop_table("moved")
    op.drop_table("sweep")
    _let_go("revision")
    op.drop_column("revision", "personal")
    op.drop_column("revision", "salt")
    _keep("revision")
    op.drop_column("person", "first_password")


def _salt_entries() -> dict[str, str]:
    """Give the personal data of each entry's revisions a salt; the new seals."""
    table = sa.table("revision", *(sa.column(each) for each in (*SEALED, "salt", "personal")))
    seals = {}
    for row in _rows(sa.select(table).where(table.c.kind == "entry")):
        salt = secrets.token_hex(32)
        document = json.loads(row["document"])
        values = [document["flyer"].pop(each, None) for each in ("name", "responsible_adult")]
        personal = _digest([salt, *values])
        rest = json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
        key = {each: row[each] for each in ("day_id", "kind", "id", "revision")}
        op.execute(
            table.update()
            .where(*(table.c[name] == value for name, value in key.items()))
            .values(salt=salt, personal=personal)
        )
        label = "/".join(["revision", *map(str, key.values())])
        seals[label] = _digest({**{each: row[each] for each in SEALED}, "document": rest, "personal": personal})
    return seals


def _bare_assessments() -> dict[str, str]:
    """Take the flyer's name out of each assessment, which then has it from its entry alone; the new seals."""
    names = ("id", "standing", "engine", "document", "kept_at")
    table = sa.table("assessment", *(sa.column(each) for each in names))
    seals = {}
    for row in _rows(sa.select(table)):
        document = json.loads(row["document"])
        if not document.get("flyer"):
            continue
        text = json.dumps({**document, "flyer": ""}, separators=(",", ":"), ensure_ascii=False)
        op.execute(table.update().where(table.c.id == row["id"]).values(document=text))
        seals[f"assessment/{row['id']}"] = _digest({**row, "document": text})
    return seals


def _rows(asked: sa.Select) -> list[dict]:
    return [dict(row._mapping) for row in op.get_bind().execute(asked)]


def _record(seals: dict[str, str]) -> None:
    """Tell the trail of the new seals, in the form that its records had at this version."""
    head = sa.table("audit_head", sa.column("number"), sa.column("hash"))
    columns = ("number", "at", "who", "what", "subject", "payload", "previous", "hash")
    audit = sa.table("audit", *(sa.column(each) for each in columns))
    number, previous = op.get_bind().execute(sa.select(head.c.number, head.c.hash)).one()
    at = datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    told = {"number": number + 1, "at": at, "who": "upgrade", "what": "sealed anew", "subject": "tables/0002"}
    told |= {"payload": _canonical({"documents": seals}), "previous": previous}
    own = _digest(told)
    op.execute(audit.insert().values(**told, hash=own))
    op.execute(head.update().values(number=number + 1, hash=own))


def _canonical(value: object) -> str:
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def _digest(value: object) -> str:
    return hashlib.sha256(_canonical(value).encode()).hexdigest()


def _let_go(*tables: str) -> None:
    on_postgresql = op.get_bind().dialect.name == "postgresql"
    for table in tables:
        op.execute(f"DROP TRIGGER kept_{table}_update" + (f" ON {table}" if on_postgresql else ""))


def _keep(table: str, when: str = "") -> None:
    condition = f"WHEN ({when}) " if when else ""
    if op.get_bind().dialect.name == "postgresql":
        body = f"FOR EACH ROW {condition}EXECUTE FUNCTION kept_for_good()"
    else:
        body = f"{condition}BEGIN SELECT RAISE(ABORT, '{table} is kept for good'); END"
    op.execute(f"CREATE TRIGGER kept_{table}_update BEFORE UPDATE ON {table} {body}")
