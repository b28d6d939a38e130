"""A day's tests as the supervisor's findings need them, the findings with what was said to them, and the switches."""

import json
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from django.db.models import F

from compaction import observation
from compaction.calculations.methods import METHODS
from compaction.calculations.readings import MOST_GROUPS
from compaction.evaluation.supervision import curves, day, figures, pace
from compaction.evaluation.supervision.facts import KINDS, DayTest, SupervisionFinding, together
from compaction.facts import Looks, SpecificationFacts
from compaction.models import Decision, StandardCount, Test, TestVersion
from compaction.queries import set_up
from compaction.queries.rows import day_range
from compaction.records.standard_counts import STANDARD
from projects import canonical
from projects.access import Open
from projects.geometry import crs, gps
from projects.geometry.gps_patterns import DayFix

SUBJECT, SEEN, ON, OFF = "supervision", "finding_seen", "switched_on", "switched_off"
KIND_CODES: Final = tuple(KINDS)
#: earlier tests on a curve that a new one is compared with
MOST_EARLIER: Final = 100


@dataclass(frozen=True)
class Shown:
    """A finding with its name, the digest of its figures, its tests, and the decision that dismissed it, if any.

    `changed_since`: somebody dismissed it, but its figures have moved since.
    """

    id: str
    digest: str
    finding: SupervisionFinding
    tests: tuple[tuple[str, str], ...]  # (uuid, label)
    technicians: frozenset[str]
    seen: Decision | None
    changed_since: bool


def on_day(opened: Open, on: date) -> list[Shown]:
    """What a supervisor should look at on a project-local day; unseen ones first. Eight statements."""
    opened.require("see-supervision")
    rows = _rows(opened, on)
    by_uuid = {str(row.client_uuid): row for row, _ in rows}
    in_force = _in_force(opened, [row for row, _ in rows])
    looks = together(facts.looks for facts in in_force)
    found = day.findings(
        [_day_test(row, content, looks) for row, content in rows],
        counted=_counted(opened, on),
        others=_earlier(opened, on, {row.reference_code for row, _ in rows}),
        limit_pct=_limit_pct(in_force),
        looks=looks,
        fixes=_fixes(opened, rows),
        frame_m=crs.grid(opened.project.epsg_code).frame_m if opened.project.epsg_code else 0.0,
        switched_on=[kind for kind, on_ in switches(opened).items() if on_],
    )
    named = [(identity(one), one) for one in found]
    said = _said(opened, [name for name, _ in named])
    shown = [_shown(name, one, by_uuid, said.get(name, [])) for name, one in named]
    return sorted(shown, key=lambda one: one.seen is not None)


def days(opened: Open) -> list[date]:
    """Project-local days with tests, the newest first. One statement."""
    opened.require("see-supervision")
    zone = opened.project.zone_info
    moments = Test.objects.filter(project=opened.project, voided=False).values_list("performed_at", flat=True)
    return sorted({moment.astimezone(zone).date() for moment in moments}, reverse=True)


def switches(opened: Open) -> dict[str, bool]:
    """Kind -> whether it is on. The newest decision counts; without one a kind is on."""
    found = dict.fromkeys(KINDS, True)
    rows = Decision.objects.filter(project=opened.project, subject_kind=SUBJECT, meaning__in=(ON, OFF))
    for row in rows.order_by("decided_at", "id"):
        if row.subject in found:
            found[row.subject] = row.meaning == ON
    return found


def identity(finding: SupervisionFinding) -> str:
    """The name of a finding: the same as long as it is of the same kind about the same tests."""
    return canonical.digest({"code": finding.code, "tests": sorted(finding.tests)})


def figures_digest(finding: SupervisionFinding) -> str:
    """What somebody who dismisses a finding has looked at."""
    return canonical.digest({"id": identity(finding), "numbers": finding.numbers, "sentence": finding.sentence})


def _rows(opened: Open, on: date) -> list[tuple[Test, dict[str, Any]]]:
    since, until = day_range(opened.project, on)
    versions = TestVersion.objects.filter(
        test__project=opened.project,
        test__performed_at__gte=since,
        test__performed_at__lt=until,
        test__voided=False,
        version=F("test__current_version"),
    ).select_related("test")
    return [(one.test, json.loads(one.content)) for one in versions.order_by("test__performed_at", "test_id")]


def _day_test(row: Test, content: Mapping[str, Any], looks: Looks) -> DayTest:
    written = content.get("readings")
    readings: Mapping[str, Any] = written if isinstance(written, Mapping) else {}
    apparatus = content.get("apparatus")
    gauge = apparatus.get("gauge", "") if isinstance(apparatus, Mapping) else ""
    turned = readings.get("rotated")
    count = figures.quantity(readings.get("count_time"))
    return DayTest(
        uuid=str(row.client_uuid),
        label=row.label,
        crew=_crew(row),
        method=row.method,
        performed_at=row.performed_at,
        reference=row.reference_code,
        setting=f"{readings.get('mode', '')} {readings.get('depth', '')}".strip(),
        figures=figures.figures_of(content),
        cans=figures.cans_of(content),
        gauge=str(readings.get("serial") or gauge) if _by_gauge(row) else "",
        states_count="density_standard_count" in readings,
        least_minutes=pace.least_minutes(
            row.method,
            looks=looks,
            count_minutes=count[0] / 60.0 if count else None,
            counts=1 + min(len(turned), MOST_GROUPS) if isinstance(turned, list) else 1,
        ),
        place_m=None
        if row.easting_m is None or row.northing_m is None
        else (float(row.easting_m), float(row.northing_m)),
        check_of=str(row.check_of or ""),
        retest_of=str(row.retest_of or ""),
        percent_compaction=None if row.percent_compaction is None else float(row.percent_compaction),
        remarks=tuple(row.finding_codes.split()),
    )


def _by_gauge(row: Test) -> bool:
    method = METHODS.get(row.method)
    return method is not None and method.volume_by == "gauge"


def _crew(row: Test) -> str:
    return row.technician or row.device


def _counted(opened: Open, on: date) -> set[str]:
    since, until = day_range(opened.project, on)
    rows = StandardCount.objects.filter(
        project=opened.project, purpose=STANDARD, taken_at__gte=since, taken_at__lt=until
    )
    return set(rows.values_list("serial", flat=True))


def _earlier(opened: Open, on: date, references: Iterable[str]) -> dict[str, list[float]]:
    wanted = sorted(set(references) - {""})
    rows = Test.objects.filter(
        project=opened.project,
        reference_code__in=wanted,
        performed_at__lt=day_range(opened.project, on)[0],
        voided=False,
        percent_compaction__isnull=False,
    ).order_by("-performed_at")
    found: dict[str, list[float]] = defaultdict(list)
    newest = rows.values_list("reference_code", "percent_compaction")[: MOST_EARLIER * max(len(wanted), 1)]
    for code, percent in newest:
        if percent is not None and len(found[code]) < MOST_EARLIER:
            found[code].append(float(percent))
    return found


def looks_of(opened: Open, on: date) -> Looks:
    """From when something is pointed out on a day, by the specifications in force for its tests. Two statements."""
    since, until = day_range(opened.project, on)
    rows = Test.objects.filter(
        project=opened.project, performed_at__gte=since, performed_at__lt=until, voided=False
    ).only("zone", "performed_at")
    return together(facts.looks for facts in _in_force(opened, rows))


def _in_force(opened: Open, rows: Iterable[Test]) -> list[SpecificationFacts]:
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    found = (under.specification(row.zone, row.performed_at) for row in rows)
    return [facts for facts in found if facts is not None]


def _limit_pct(in_force: Iterable[SpecificationFacts]) -> float:
    """The limit from which the specification of the day's tests asks for a look, else common practice."""
    limits = {float(facts.review_above_percent_compaction) for facts in in_force}
    return min(limits, default=curves.LIMIT_PCT)


def _fixes(opened: Open, rows: list[tuple[Test, dict[str, Any]]]) -> dict[str, list[DayFix]]:
    epsg = opened.project.epsg_code
    found: dict[str, list[DayFix]] = defaultdict(list)
    for row, content in rows if epsg else ():
        fix = observation.read_position(content).gps
        if fix is None or row.easting_m is None or row.northing_m is None:
            continue
        try:
            easting, northing = crs.to_easting_northing(
                epsg or 0, longitude_deg=float(fix.longitude_deg), latitude_deg=float(fix.latitude_deg)
            )
        except crs.CoordinateSystemError:
            continue  # told with the position of the test itself
        confidence = gps.UNKNOWN_CONFIDENCE if fix.confidence_pct is None else float(fix.confidence_pct) / 100.0
        sigma = gps.sigma_m(float(fix.accuracy_m), confidence)
        found[_crew(row)].append(
            DayFix(
                test=str(row.client_uuid),
                label=row.label,
                performed_at=row.performed_at,
                fixed_at=fix.fixed_at,
                easting_m=easting,
                northing_m=northing,
                sigma_m=(sigma**2 + gps.STATEMENT_SIGMA_M**2) ** 0.5,
                stated_easting_m=float(row.easting_m),
                stated_northing_m=float(row.northing_m),
            )
        )
    return found


def _said(opened: Open, names: list[str]) -> dict[str, list[Decision]]:
    found: dict[str, list[Decision]] = defaultdict(list)
    rows = Decision.objects.filter(project=opened.project, subject_kind=SUBJECT, meaning=SEEN, subject__in=names)
    for row in rows.order_by("decided_at", "id"):
        found[row.subject].append(row)
    return found


def _shown(name: str, one: SupervisionFinding, rows: Mapping[str, Test], said: list[Decision]) -> Shown:
    digest = figures_digest(one)
    seen = next((row for row in reversed(said) if row.basis_digest == digest), None)
    return Shown(
        id=name,
        digest=digest,
        finding=one,
        tests=tuple((uuid, str(rows[uuid])) for uuid in one.tests),
        technicians=frozenset(rows[uuid].technician for uuid in one.tests) - {""},
        seen=seen,
        changed_since=bool(said) and seen is None,
    )
