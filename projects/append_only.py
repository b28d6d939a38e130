"""Triggers that refuse to change or remove rows that are only ever added.

A model says `append_only = True`. The triggers are put back after every migration and looked for at
start-up, on SQLite and PostgreSQL alike. They stop mistakes and casual edits; a database owner can
drop them, which is what the hash chain and the receipts are for.
"""

from django.apps import apps
from django.db import connections

SQLITE_TRIGGER = """
CREATE TRIGGER IF NOT EXISTS "{name}" BEFORE {event} ON "{table}"
BEGIN SELECT RAISE(ABORT, '{table} is append-only: add a new row instead'); END
"""
POSTGRES_FUNCTION = """
CREATE OR REPLACE FUNCTION refuse_change() RETURNS trigger AS $$
BEGIN RAISE EXCEPTION '% is append-only: add a new row instead', TG_TABLE_NAME; END
$$ LANGUAGE plpgsql
"""


def tables(existing: list[str]) -> list[str]:
    """The append-only tables that exist already (during a partial migration not all do)."""
    marked = {model._meta.db_table for model in apps.get_models() if getattr(model, "append_only", False)}
    return sorted(marked.intersection(existing))


def _wanted(connection) -> dict[str, tuple[str, str]]:
    with connection.cursor() as cursor:
        existing = connection.introspection.table_names(cursor)
    events = ["UPDATE", "DELETE"] + (["TRUNCATE"] if connection.vendor == "postgresql" else [])
    return {f"{table}_no_{event.lower()}": (table, event) for table in tables(existing) for event in events}


def _present(connection) -> set[str]:
    query = (
        "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        if connection.vendor == "sqlite"
        else "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        return {row[0] for row in cursor.fetchall()}


def missing(connection) -> list[str]:
    """Names of the triggers that should be there and are not."""
    return sorted(set(_wanted(connection)) - _present(connection))


def install(connection) -> None:
    """Create whichever triggers are missing."""
    absent = missing(connection)
    if not absent:
        return
    wanted = _wanted(connection)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(POSTGRES_FUNCTION)
        for name in absent:
            table, event = wanted[name]
            if connection.vendor == "sqlite":
                cursor.execute(SQLITE_TRIGGER.format(name=name, event=event, table=table))
            else:
                level = "STATEMENT" if event == "TRUNCATE" else "ROW"
                cursor.execute(
                    f'CREATE TRIGGER "{name}" BEFORE {event} ON "{table}" FOR EACH {level} '
                    "EXECUTE FUNCTION refuse_change()"
                )


def remove(connection) -> None:
    """Drop the triggers: for tests that empty the tables between them, and nothing else."""
    present = _present(connection)
    with connection.cursor() as cursor:
        for name, (table, _) in _wanted(connection).items():
            if name in present:
                on_table = f' ON "{table}"' if connection.vendor == "postgresql" else ""
                cursor.execute(f'DROP TRIGGER "{name}"{on_table}')


def install_after_migrate(*, using: str, **_) -> None:

    install(connections[using])
