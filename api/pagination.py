"""Lists a page at a time, by the place of the last row seen: stable while rows are added.

The cursor is signed and names the list and its filters, so that a changed one is refused, not guessed at.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final, TypeVar

from django.core import signing
from django.http import HttpRequest

from api.errors import Problem
from api.operations import Parameter, whole, words
from projects import canonical

Row = TypeVar("Row")
SALT: Final = "api.cursor.v1"
DEFAULT_LIMIT: Final = 100
MOST: Final = 200

LIMIT = Parameter(
    "limit",
    whole(1, MOST),
    f"Rows on a page, at most {MOST}; {DEFAULT_LIMIT} if not given.",
    {"type": "integer", "minimum": 1, "maximum": MOST, "default": DEFAULT_LIMIT},
)
CURSOR = Parameter(
    "cursor",
    words(2000),
    "`cursor` as it stands in `next` of the answer before.",
    {"type": "string", "maxLength": 2000},
)
PAGE = (LIMIT, CURSOR)


@dataclass(frozen=True)
class Place:
    """Where a page begins: after this row (None: at the start), with how many rows."""

    after: list[Any] | None
    limit: int
    list_digest: str


def place(name: str, query: Mapping[str, Any]) -> Place:
    """Where the page begins. `name` names the list; filters belong to the cursor. Raises `Problem`."""
    filters = {key: str(value) for key, value in query.items() if key not in ("cursor", "limit")}
    digest = canonical.digest({"list": name, "filters": filters})[:16]
    after = None
    if "cursor" in query:
        try:
            made = signing.loads(query["cursor"], salt=SALT)
        except (signing.BadSignature, ValueError, UnicodeError):
            made = None
        if not isinstance(made, dict) or made.get("list") != digest or not isinstance(made.get("after"), list):
            raise Problem("cursor", "The cursor was changed, or belongs to another list or other filters.")
        after = made["after"]
    return Place(after=after, limit=query.get("limit", DEFAULT_LIMIT), list_digest=digest)


def page(
    request: HttpRequest, at: Place, rows: Sequence[Row], *, key: Callable[[Row], Sequence[Any]]
) -> tuple[list[Row], str | None]:
    """The rows of the page and the address of the next. Give one row more than `at.limit` if there is one."""
    shown = list(rows[: at.limit])
    if len(rows) <= at.limit or not shown:
        return shown, None
    after = [item.isoformat() if isinstance(item, datetime) else item for item in key(shown[-1])]
    cursor = signing.dumps(json.loads(json.dumps({"list": at.list_digest, "after": after})), salt=SALT)
    query = request.GET.copy()
    query["cursor"] = cursor
    return shown, f"{request.path}?{query.urlencode()}"
