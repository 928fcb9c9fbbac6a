"""Runs the migrations inside the application, on the database that its settings name."""

from alembic import context
from flask import current_app

migrate = current_app.extensions["migrate"]
metadata = migrate.db.metadatas[None]


def run() -> None:
    with migrate.db.engine.connect() as connection:
        # SQLite cannot alter most things in place; batch mode copies the table instead.
        context.configure(
            connection=connection,
            target_metadata=metadata,
            render_as_batch=connection.dialect.name == "sqlite",
        )
        with context.begin_transaction():
            context.run_migrations()
        connection.commit()


run()
