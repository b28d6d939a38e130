"""Which tests use an instrument, and which a person's certificate or a gauge's count can touch."""

import json
from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Q, QuerySet

from compaction.models import ApparatusRecord, Test, TestVersion
from compaction.records.certificates import ALL, RADIATION_SAFETY
from projects.models import Project

#: days are told by the clock of each test; none is farther than this from another clock's
A_DAY_OF_ANY_CLOCK = timedelta(hours=36)


def names(content: Mapping[str, Any], serial: str) -> bool:
    """Whether a test as written names the instrument: under apparatus, or among its readings."""
    readings = content.get("readings", {})
    own = [readings.get(name) for name in ("serial", "pouring_cylinder")] if isinstance(readings, Mapping) else []
    return serial in (*content.get("apparatus", {}).values(), *own)


def those_naming(project: Project, serials: Iterable[str]) -> QuerySet[Test]:
    """Tests of which some version names one of the serial numbers. A few more than that may be among them."""
    holds = Q()
    for serial in serials:
        # As canonical JSON writes it; serial numbers that stand in addresses need no escape.
        holds |= Q(content__contains=json.dumps(serial, ensure_ascii=False))
    versions = TestVersion.objects.filter(holds, test__project=project)
    return Test.objects.filter(project=project, pk__in=versions.values("test"))


def reached_through(project: Project, serial: str, *, belongs_to: str = "") -> set[str]:
    """The serial number itself, and each cone and plate that a batch of sand under this number ever belonged to."""
    contents = ApparatusRecord.objects.filter(project=project, serial=serial, kind="sand").exclude(content="")
    pairs = {str(json.loads(text).get("belongs_to", "")) for text in contents.values_list("content", flat=True)}
    return {serial, *(pair for pair in (belongs_to, *pairs) if pair)}


def those_since(project: Project, serial: str, *, since: datetime) -> QuerySet[Test]:
    """Tests naming a gauge from the day of a count on: no earlier one can depend on it."""
    return those_naming(project, [serial]).filter(performed_at__gte=since - A_DAY_OF_ANY_CLOCK)


def those_certified(project: Project, *, subjects: Iterable[str], persons: Iterable[str]) -> QuerySet[Test]:
    """Tests that certificates of the subjects are for, of some persons; of everybody if none is named."""
    found = Test.objects.filter(project=project)
    wanted, named = set(subjects), list(persons)
    methods = wanted - {ALL, RADIATION_SAFETY}
    if RADIATION_SAFETY in wanted:
        methods.add("nuclear_gauge")
    if ALL not in wanted:
        found = found.filter(method__in=methods)
    return found.filter(technician__in=named) if named else found


def recent(project: Project, serials: Iterable[str], *, limit: int) -> tuple[list[Test], int]:
    """The newest tests whose current version names one of the serial numbers, and how many some version names."""
    wanted = set(serials)
    chosen = those_naming(project, wanted)
    tests = list(chosen.order_by("-performed_at", "-id")[: 2 * limit])
    current = {test.pk: test.current_version for test in tests}
    naming = {
        row.test_id
        for row in TestVersion.objects.filter(test__in=tests)
        if row.version == current[row.test_id] and any(names(json.loads(row.content), one) for one in wanted)
    }
    return [test for test in tests if test.pk in naming][:limit], chosen.count()
