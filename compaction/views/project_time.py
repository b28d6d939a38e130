"""Moments typed on the project's clock, with the offset that clock had then."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from projects.models import Project


class MomentNotUnderstood(ValueError):
    """What was typed is no moment of a clock."""


def with_offset(project: Project, typed: str) -> str:
    """ "2026-06-03T09:15" as RFC 3339 with seconds and the project's offset on that day.

    Raises `MomentNotUnderstood`. An hour that the clock shows twice in autumn is taken as the first one.
    """
    try:
        moment = datetime.fromisoformat(typed)
    except ValueError:
        raise MomentNotUnderstood(f"“{typed[:30]}” is no time; write it as 2026-06-03T09:15.") from None
    if moment.tzinfo is None:
        moment = moment.replace(tzinfo=project.zone_info)
    return moment.replace(microsecond=0).isoformat()


def as_typed(project: Project, moment: datetime) -> str:
    """A moment as a field for date and time holds it."""
    return moment.astimezone(project.zone_info).strftime("%Y-%m-%dT%H:%M")


def record_body(project: Project, given: Mapping[str, Any], *, moment: str) -> dict[str, Any]:
    """What a form gave as the body of a record: what was filled in, its moment with the offset, without its id.

    Raises `MomentNotUnderstood`.
    """
    body = {name: value for name, value in given.items() if name != "client_uuid" and value not in ("", None)}
    return {**body, moment: with_offset(project, given[moment])}
