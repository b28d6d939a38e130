"""What every test may rely on. Servers are in tests/servers.py, the cast of people beside the builders."""

from collections.abc import Iterator

import pytest
from django.core.management.commands import flush
from django.db import connections

from projects import append_only


@pytest.fixture(scope="session", autouse=True)
def tables_can_be_emptied_between_tests() -> Iterator[None]:
    """A test with committed rows ends with Django's `flush`, which the append-only triggers would refuse.

    They are dropped right before it, and the post-migrate signal that `flush` sends puts them back.
    """
    original = flush.Command.handle

    def handle(self: flush.Command, **options: object) -> None:
        append_only.remove(connections[str(options["database"])])
        original(self, **options)

    flush.Command.handle = handle  # type: ignore[method-assign]
    yield
    flush.Command.handle = original  # type: ignore[method-assign]
