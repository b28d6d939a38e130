"""Which version a change starts from: the header If-Match or the member `replaces`."""

import re
from typing import Any

from rest_framework.request import Request

from api.errors import Problem


def replaced_version(request: Request, members: dict[str, Any]) -> int:
    """The version that the caller worked from. Raises `Problem`: 428 without one, 400 with two, 412 with any (*)."""
    header = request.META.get("HTTP_IF_MATCH")
    named = members.get("replaces")
    if "replaces" in members and (isinstance(named, bool) or not isinstance(named, int) or not 1 <= named <= 100_000):
        sentence = "'replaces' is the number of a version, from 1 on."
        raise Problem("content-unreadable", sentence, errors=[("/replaces", "not-a-version", sentence)])
    if header is None:
        if named is None:
            raise Problem("version-required")
        return int(named)
    found = re.fullmatch(r'"([1-9][0-9]{0,5})"', header.strip(), re.ASCII)
    if found is None:
        raise Problem("not-current", 'If-Match names no version of this record; it looks like "3", as the ETag does.')
    if named is not None and named != int(found.group(1)):
        raise Problem("precondition-contradiction")
    return int(found.group(1))
