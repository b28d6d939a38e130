"""Rows of our tables, kept once and put back into empty tables: what is costly to make is made once a process."""

from dataclasses import dataclass

from django.db import connection


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
        """Into tables without them, in a transaction: SQLite looks at references when it commits."""
        with connection.cursor() as cursor:
            for table, (columns, rows) in self.tables.items():
                names = ", ".join(map(connection.ops.quote_name, columns))
                marks = ", ".join(["%s"] * len(columns))
                cursor.executemany(f"INSERT OR IGNORE INTO {table} ({names}) VALUES ({marks})", rows)


def can_put_back() -> bool:
    """On SQLite only: elsewhere the numbers of new rows are not told of rows put back."""
    return connection.vendor == "sqlite" and connection.in_atomic_block
