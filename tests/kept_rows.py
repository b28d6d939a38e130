"""Rows of our tables, kept once and put back into empty tables: what is costly to make is made once a process."""

from collections.abc import Callable, Hashable
from dataclasses import dataclass

from django.db import connection

from compaction.queries import set_up
from projects.models import User


@dataclass(frozen=True)
class KeptRows:
    """Of each table its columns and rows, in the order in which they may stand."""

    tables: dict[str, tuple[list[str], list[tuple[object, ...]]]]

    @classmethod
    def of_now(cls) -> "KeptRows":
        """What the tables of our apps hold."""
        tables = {}
        with connection.cursor() as cursor:
            for table in connection.introspection.table_names(cursor):
                if table.startswith(("projects_", "compaction_")):
                    cursor.execute(f"SELECT * FROM {table}")
                    columns, rows = [column[0] for column in cursor.description], cursor.fetchall()
                    if rows:
                        tables[table] = (columns, rows)
        return cls(tables)

    def put_back(self) -> None:
        """Into tables without them, in a transaction: references are looked at when it commits."""
        with connection.cursor() as cursor:
            for table, (columns, rows) in self.tables.items():
                names = ", ".join(map(connection.ops.quote_name, columns))
                marks = ", ".join(["%s"] * len(columns))
                cursor.executemany(f"INSERT INTO {table} ({names}) VALUES ({marks}) ON CONFLICT DO NOTHING", rows)


_kept: dict[Hashable, KeptRows] = {}


def made_once(what: Hashable, make: Callable[[], object]) -> None:
    """Call `make` in the first test of a process that wants this; in later ones put back the rows that it left.

    It is made anew where a test has rows already, or commits. Numbers of new rows go on behind those put back:
    SQLite looks at the rows, and PostgreSQL's sequences stay where they are when a test is rolled back.
    """
    if not connection.in_atomic_block or User.objects.exists():
        make()
        return
    if what in _kept:
        _kept[what].put_back()
        set_up.forget()
        return
    make()
    _kept[what] = KeptRows.of_now()
