"""The first tables, and the guard that keeps entries insert only."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

GUARDS = {
    "sqlite": [
        f"CREATE TRIGGER entries_no_{verb.lower()} BEFORE {verb} ON entries"
        " BEGIN SELECT RAISE(ABORT, 'entries are insert only'); END"
        for verb in ("UPDATE", "DELETE")
    ],
    "postgresql": [
        "CREATE FUNCTION entries_insert_only() RETURNS trigger LANGUAGE plpgsql AS"
        " $$ BEGIN RAISE EXCEPTION 'entries are insert only'; END $$",
        "CREATE TRIGGER entries_insert_only BEFORE UPDATE OR DELETE ON entries"
        " FOR EACH ROW EXECUTE FUNCTION entries_insert_only()",
    ],
}


def upgrade() -> None:
    op.create_table(
        "log",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("epoch", sa.String(43), nullable=False),
        sa.Column("last", sa.BigInteger, nullable=False),
        sa.Column("root", sa.String(43), nullable=False),
    )
    op.create_table(
        "entries",
        sa.Column("position", sa.BigInteger, primary_key=True, autoincrement=False),
        sa.Column("hash", sa.String(43), nullable=False, unique=True),
        sa.Column("kid", sa.String(43), nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("number_here", sa.Integer, nullable=False),
        sa.Column("about", sa.String(80), nullable=False),
        sa.Column("kind", sa.String(32), nullable=False),
        sa.Column("jws", sa.Text, nullable=False),
        sa.Column("received", sa.BigInteger, nullable=False),
    )
    op.create_index("entries_kid_number", "entries", ["kid", "number"])
    op.create_index("ix_entries_about", "entries", ["about"])
    op.create_table(
        "keys",
        sa.Column("kid", sa.String(43), primary_key=True),
        sa.Column("jwk", sa.Text, nullable=False),
        sa.Column("person", sa.String(64), nullable=False),
        sa.Column("entry", sa.String(43), sa.ForeignKey("entries.hash"), nullable=False),
    )
    op.create_table(
        "enrolment_codes",
        sa.Column("hash", sa.String(43), primary_key=True),
        sa.Column("person", sa.String(64), nullable=False),
        sa.Column("made_by", sa.String(64), nullable=False),
        sa.Column("expires", sa.BigInteger, nullable=False),
        sa.Column("used", sa.BigInteger),
        sa.Column("used_kid", sa.String(43)),
        sa.Column("used_device", sa.String(43)),
    )
    op.create_table(
        "devices",
        sa.Column("id", sa.String(43), primary_key=True),
        sa.Column("jwk", sa.Text, nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("person", sa.String(64), nullable=False),
        sa.Column("kid", sa.String(43), sa.ForeignKey("keys.kid"), nullable=False),
        sa.Column("enrolled", sa.BigInteger, nullable=False),
        sa.Column("closed", sa.BigInteger),
    )
    op.create_table(
        "sessions",
        sa.Column("hash", sa.String(43), primary_key=True),
        sa.Column("device", sa.String(43), sa.ForeignKey("devices.id"), nullable=False),
        sa.Column("expires", sa.BigInteger, nullable=False),
    )
    op.create_index("ix_sessions_device", "sessions", ["device"])
    op.create_index("ix_sessions_expires", "sessions", ["expires"])
    op.create_table(
        "spent_nonces",
        sa.Column("nonce", sa.String(120), primary_key=True),
        sa.Column("expires", sa.BigInteger, nullable=False),
    )
    op.create_index("ix_spent_nonces_expires", "spent_nonces", ["expires"])
    op.create_table(
        "tries",
        sa.Column("address", sa.String(64), primary_key=True),
        sa.Column("stretch", sa.BigInteger, primary_key=True),
        sa.Column("refused", sa.Integer, nullable=False),
    )
    op.create_table(
        "blobs",
        sa.Column("digest", sa.String(43), primary_key=True),
        sa.Column("type", sa.String(64), nullable=False),
        sa.Column("size", sa.BigInteger, nullable=False),
        sa.Column("person", sa.String(64), nullable=False),
        sa.Column("received", sa.BigInteger, nullable=False),
    )
    op.create_table(
        "procedures",
        sa.Column("digest", sa.String(43), primary_key=True),
        sa.Column("procedure", sa.String(64), nullable=False),
        sa.Column("version", sa.String(64), nullable=False),
        sa.Column("title", sa.String(400), nullable=False),
        sa.Column("text", sa.LargeBinary, nullable=False),
        sa.Column("published", sa.BigInteger, nullable=False),
        sa.UniqueConstraint("procedure", "version"),
    )
    for statement in GUARDS.get(op.get_bind().dialect.name, []):
        op.execute(statement)


def downgrade() -> None:
    for table in (
        "procedures",
        "blobs",
        "tries",
        "spent_nonces",
        "sessions",
        "devices",
        "enrolment_codes",
        "keys",
        "entries",
        "log",
    ):
        op.drop_table(table)
    if op.get_bind().dialect.name == "postgresql":
        op.execute("DROP FUNCTION entries_insert_only()")
