"""Issue alignments and areas; tests located on the older geometry become stale."""

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction

from compaction import jobs
from compaction.actions import kept
from compaction.actions.references import mark_tests
from compaction.actions.refusals import Refused
from compaction.actions.revisions import Issued
from compaction.models import Test
from projects.access import Open
from projects.actions import place
from projects.geometry.alignment import Alignment
from projects.geometry.areas import AreaError, area_from_plain, area_to_plain
from projects.geometry.curves import CurveError
from projects.geometry.elements import ElementError
from projects.geometry.ground import GroundError
from projects.geometry.linear_units import UnknownLinearUnit
from projects.geometry.plain_content import ContentError
from projects.geometry.plan_points import PlanError
from projects.geometry.stationing import StationingError
from projects.geometry.typical_section import SectionError
from projects.geometry.vertical_curves import ProfileError

GEOMETRY_ERRORS = (
    AreaError, ContentError, CurveError, ElementError, GroundError, PlanError, ProfileError, SectionError,
    StationingError, UnknownLinearUnit,
)  # fmt: skip


def issue_alignment(
    *,
    opened: Open,
    code: str,
    rev: int,
    name: str,
    content: Mapping[str, Any],
    now: datetime,
    effective_from: date | None = None,
) -> Issued:
    """Add a revision of an alignment from its plain content, stored as it was read. Raises `Refused`.

    With a day it governs the tests made from that day on, else all of them.
    """
    opened.require("set-up")
    frozen = alignment_content(content)
    return _issue(
        opened,
        lambda: place.issue_alignment(
            opened=opened, code=code, rev=rev, name=name, content=frozen, now=now, **_reach(effective_from)
        ),
        f"alignment {code} rev {rev}",
        now,
    )


def issue_area(
    *,
    opened: Open,
    code: str,
    rev: int,
    name: str,
    kind: str,
    content: Mapping[str, Any],
    now: datetime,
    reason: str = "",
    effective_from: date | None = None,
) -> Issued:
    """Add a revision of a zone, an exempt area or declared work. Raises `Refused`."""
    opened.require("set-up")
    frozen = area_content(content, code=code, kind=kind, name=name)
    return _issue(
        opened,
        lambda: place.issue_area(
            opened=opened,
            code=code,
            rev=rev,
            name=name,
            kind=kind,
            content=frozen,
            reason=reason,
            now=now,
            **_reach(effective_from),
        ),
        f"area {code} rev {rev}",
        now,
    )


def _reach(effective_from: date | None) -> dict[str, Any]:
    return {} if effective_from is None else {"reach": "from_date", "effective_from": effective_from}


def alignment_content(content: Mapping[str, Any]) -> dict[str, Any]:
    """The content of an alignment as it is stored. Raises `Refused`."""
    return _understood(lambda: Alignment.from_plain(content).to_plain())


def area_content(content: Mapping[str, Any], *, code: str, kind: str, name: str) -> dict[str, Any]:
    """The same for an area."""
    return _understood(lambda: area_to_plain(area_from_plain({**content, "code": code, "kind": kind, "name": name})))


def _understood(read: Callable[[], dict[str, Any]]) -> dict[str, Any]:
    try:
        return read()
    except GEOMETRY_ERRORS as error:
        raise Refused(str(error), code="geometry-unreadable") from error


def _issue(opened: Open, add: Any, cause: str, now: datetime) -> Issued:
    with transaction.atomic():
        row, entry = add()
        if entry is None:
            return Issued(False, row, None)
        mark_tests(opened, Test.objects.all(), cause, kind="place")
        receipt = kept.told(opened, entry, now=now)
    jobs.wake_sweep()
    return Issued(True, row, receipt)
