"""What the database really does with the options it is given."""

import pytest
from django.conf import settings
from django.db import connection, transaction

pytestmark = pytest.mark.both_databases


@pytest.mark.django_db(transaction=True)
def test_the_options_that_make_concurrent_writing_safe_are_in_force() -> None:
    """SQLite: write lock at BEGIN, write-ahead log, 20 s. PostgreSQL: nothing waits for ever."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            found = {
                name: cursor.execute(f"PRAGMA {name}").fetchone()[0]
                for name in ("journal_mode", "synchronous", "busy_timeout")
            }
            assert found == {"journal_mode": "wal", "synchronous": 1, "busy_timeout": 20_000}
        else:
            for name in ("lock_timeout", "statement_timeout", "idle_in_transaction_session_timeout"):
                cursor.execute(f"SHOW {name}")
                assert cursor.fetchone()[0] not in {"0", ""}, name
    if connection.vendor == "sqlite":
        statements: list[str] = []
        connection.connection.set_trace_callback(statements.append)
        with transaction.atomic():
            pass
        connection.connection.set_trace_callback(None)
        assert statements[0] == "BEGIN IMMEDIATE"


def test_a_read_never_opens_a_transaction_of_its_own() -> None:
    """ATOMIC_REQUESTS would take SQLite's write lock for every page that is looked at."""
    assert settings.DATABASES["default"]["ATOMIC_REQUESTS"] is False
