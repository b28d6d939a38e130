"""What coverage follows from, read from the tables: placements, tests with their failures, signatures, notes."""

import json
from collections.abc import Collection, Sequence, Set
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any, Final

from django.db.models import Q

from compaction.coverage.facts import FrequencyRule, Placed, Tested
from compaction.coverage.lifts import Book, Note, Release
from compaction.coverage.shared_ground import counted_once
from compaction.models import Decision, Failure, FailureTest, NotTested, PlacementVersion, Test
from compaction.queries.set_up import AreaEntry, SetUp
from compaction.records import placement_parts
from compaction.records.follow_up import PlacementRecord, read_placement
from projects.geometry.alignment import BeyondAlignment
from projects.geometry.area_measure import AreaNotMeasured, area_m2
from projects.geometry.areas import Area, Polygon, Spot, StationRange, area_from_plain
from projects.geometry.drawing import area_outline
from projects.models import Project

RELEASED: Final = "released"
SUBJECT_KIND: Final = "lift"
_TEST_COLUMNS: Final = (
    "client_uuid",
    "label",
    "performed_at",
    "zone",
    "lift",
    "method",
    "purpose",
    "result",
    "retest_of",
    "check_of",
    "open_holds",
    "basis",
    "voided",
    "exempt",
    "alignment",
    "station_m",
    "offset_m",
    "elevation_m",
    "reference_code",
    "easting_m",
    "northing_m",
)
_PART: Final = 400
_OPEN: Final = ("open", "reworked")
_BY_RETEST: Final = ("passed_on_retest", "closed")


def subject_of(area: str, lift: int) -> str:
    """How a decision names a group."""
    return f"{area}:{lift}"


def book(
    project: Project,
    under: SetUp,
    *,
    lifts: Collection[int] | None = None,
    zones: Collection[str] = (),
    placed: Sequence[Placed] | None = None,
) -> Book:
    """Everything that coverage follows from; with `lifts`, only the tests of those and of `zones`. Seven statements."""
    releases = [
        Release(area, int(lift), digest, decided_at, person)
        for subject, digest, decided_at, person in Decision.objects.filter(
            project=project, subject_kind=SUBJECT_KIND, meaning=RELEASED
        ).values_list("subject", "basis_digest", "decided_at", "person")
        for area, _, lift in [subject.rpartition(":")]
    ]
    notes = [
        Note(row.area, row.lift, placement_parts.words(row.reason_code, row.reason), row.noted_at)
        for row in NotTested.objects.filter(project=project).order_by("noted_at", "received_at", "client_uuid")
    ]
    return Book(
        placed=tuple(placements(project, under) if placed is None else placed),
        tests=tuple(tests(project, under, lifts=lifts, zones=zones)),
        rules_of=rules_of(under),
        releases=tuple(releases),
        notes=tuple(notes),
    )


def rules_of(under: SetUp) -> Any:
    """The frequency rules in force in a zone at a moment."""

    def found(zone: str, moment: datetime) -> tuple[FrequencyRule, ...]:
        specification = under.specification(zone, moment)
        return specification.frequency if specification else ()

    return found


# ---- placements ----------------------------------------------------------------------------------
def placements(project: Project, under: SetUp) -> list[Placed]:
    """The current version of every placement, ground that several share counted once. One statement."""
    current: dict[Any, PlacementVersion] = {}
    lines: set[str] = set()
    for row in PlacementVersion.objects.filter(project=project).order_by("client_uuid", "version"):
        current[row.client_uuid] = row
        lines.add(row.alignment)
    areas = {str(key): area_from_plain(json.loads(row.limits)) for key, row in current.items()}
    outlined = compared_by_outline(lines)
    return counted_once(_placed(row, areas[str(key)], under, outlined=outlined) for key, row in current.items())


def compared_by_outline(lines: Set[str]) -> bool:
    """Whether fill is compared by outlines: on several lines, or given by corners (no line). Earlier versions count.

    So it never turns back, and a record can tell by itself whether it turned.
    """
    return len(lines) > 1 or "" in lines


def _placed(row: PlacementVersion, limits: Area, under: SetUp, *, outlined: bool) -> Placed:
    record = read_placement(json.loads(row.content))
    lines = under.alignments_at(row.placed_at)
    try:
        size_m2 = float(area_m2(limits, lines))
    except AreaNotMeasured:
        size_m2 = None
    zone = zone_of(row.area, limits, row.elevation_top_m, under, row.placed_at)
    shape = limits.shape
    ranged: dict[str, Any] = {}
    if isinstance(shape, StationRange):
        names = ("station_from_m", "station_to_m", "offset_from_m", "offset_to_m")
        ranged = {"alignment": shape.alignment, **{name: float(getattr(shape, name)) for name in names}}
    return Placed(
        uuid=str(row.client_uuid),
        area=row.area,
        lift=row.lift,
        placed_at=row.placed_at,
        day=row.placed_at.astimezone(under.zone_info).date(),
        area_m2=size_m2,
        volume_m3=volume_m3(record, size_m2),
        volume_stated=record.quantity_m3 is not None,
        thickness_m=record.thickness_m,
        elevation_top_m=record.elevation_top_m,
        material=record.material,
        not_tested=record.not_tested,
        zone=zone.code if zone and zone.kind != "exempt" else "",
        exempt=bool(zone and zone.kind == "exempt"),
        side=record.side,
        lot=record.lot,
        outline=tuple(area_outline(limits, lines, sagitta_m=0.05)) if outlined else (),
        **ranged,
    )


def volume_m3(record: PlacementRecord, size_m2: float | None) -> Decimal | None:
    """As stated or by loads; else plan area times thickness, if both are known."""
    if record.quantity_m3 is not None:
        return record.quantity_m3
    if size_m2 is None or record.thickness_m is None:
        return None
    return (Decimal(repr(size_m2)) * record.thickness_m).quantize(Decimal("0.001"))


def zone_of(area: str, limits: Area, elevation_m: Decimal | None, under: SetUp, moment: datetime) -> AreaEntry | None:
    """The zone or exempt area of a placement: the one of that code or name, else the one that holds its middle."""
    known = [entry for entry in under.areas_at(moment) if entry.kind in ("zone", "exempt")]
    named = next((entry for entry in known if area.casefold() in (entry.code.casefold(), entry.name.casefold())), None)
    if named is not None:
        return named
    spot = _middle(limits, elevation_m, under, moment)
    return next((entry for entry in known if entry.geometry.contains(spot) is True), None)


def _middle(limits: Area, elevation_m: Decimal | None, under: SetUp, moment: datetime) -> Spot:
    step = Decimal("0.0001")
    shape = limits.shape
    if isinstance(shape, Polygon):
        count = len(shape.corners)
        easting, northing = (sum((corner[axis] for corner in shape.corners), Decimal(0)) / count for axis in (0, 1))
        return Spot(easting.quantize(step), northing.quantize(step), elevation_m=elevation_m)
    station = ((shape.station_from_m + shape.station_to_m) / 2).quantize(step)
    offset = ((shape.offset_from_m + shape.offset_to_m) / 2).quantize(step)
    on_lines = {shape.alignment: (station, offset)}
    line = under.alignments_at(moment).get(shape.alignment)
    try:
        place = line.point(station_m=float(station), offset_m=float(offset)) if line else None
    except BeyondAlignment:
        place = None
    if place is None:
        return Spot(on_lines=on_lines, elevation_m=elevation_m)
    eastern, northern = (Decimal(repr(round(value, 4))) for value in place)
    return Spot(eastern, northern, on_lines, elevation_m)


# ---- tests ---------------------------------------------------------------------------------------
def tests(project: Project, under: SetUp, *, lifts: Collection[int] | None, zones: Collection[str]) -> list[Tested]:
    """Every test that names a lift, with what became of its failure. Four statements.

    With `lifts`, those of these lifts, and of `zones` on any lift.
    """
    rows = Test.objects.filter(project=project, lift__isnull=False)
    if lifts is not None:
        rows = rows.filter(Q(lift__in=list(lifts)) | Q(zone__in=list(zones)))
    values = list(rows.values_list(*_TEST_COLUMNS))
    # Of a few lifts only the failures of their tests are read.
    named = None if lifts is None else {one for row in values for one in (row[0], row[8]) if one is not None}
    failures = _failures(project, named)
    zone_info = under.zone_info
    return [_tested(row, failures, zone_info) for row in values]


def _tested(row: tuple[Any, ...], failures: dict[str, dict[str, Any]], zone_info: Any) -> Tested:
    one = dict(zip(_TEST_COLUMNS, row, strict=True))
    uuid, retest_of = str(one["client_uuid"]), str(one["retest_of"] or "")
    failure = failures.get(uuid)
    if failure is None and retest_of:
        failure = failures.get(retest_of)
        if failure is not None and failure["root_known"]:
            failure = None  # the failing test itself speaks for it
    # The day of the project is worked out where it is wanted; here only what every test needs.
    return Tested(
        uuid=uuid,
        label=one["label"],
        performed_at=one["performed_at"],
        day=one["performed_at"].astimezone(zone_info).date(),
        area=one["zone"],
        lift=one["lift"],
        method=one["method"],
        purpose=one["purpose"],
        result="pending" if one["result"].startswith("pending") else one["result"],
        original=not retest_of and one["check_of"] is None,
        held=bool(one["open_holds"]),
        provisional=one["basis"] == "provisional",
        voided=one["voided"],
        exempt=one["exempt"],
        failure_state=failure["state"] if failure and one["result"] == "fail" else "",
        buried=bool(failure and failure["buried"]),
        alignment=one["alignment"],
        station_m=_float(one["station_m"]),
        offset_m=_float(one["offset_m"]),
        elevation_m=_float(one["elevation_m"]),
        material=one["reference_code"],
        check=one["check_of"] is not None,
        failure_ended_at=failure["ended_at"] if failure else None,
        easting_m=_float(one["easting_m"]),
        northing_m=_float(one["northing_m"]),
    )


def _parts(keys: Collection[Any]) -> list[list[Any]]:
    """Keys in pieces that a statement can take."""
    ordered = sorted(keys)
    return [ordered[start : start + _PART] for start in range(0, len(ordered), _PART)]


def _float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


def _failures(project: Project, named: Collection[Any] | None) -> dict[str, dict[str, Any]]:
    """Failing test -> the state that weighs most among its failures, when the last of them ended, whether buried."""
    chosen = Failure.objects.filter(project=project)
    parts = [None] if named is None else _parts(named)
    rows = [row for part in parts for row in (chosen if part is None else chosen.filter(root_test__in=part))]
    if not rows:
        return {}
    rows.sort(key=lambda row: str(row.uuid))
    passed: dict[int, str] = {}
    links = FailureTest.objects.filter(attempt__gt=0, counts=True, result="pass").order_by("attempt")
    for part in _parts({row.pk for row in rows}):
        passed |= {
            key: str(uuid) for key, uuid in links.filter(failure__in=part).values_list("failure_id", "test_uuid")
        }
    known: dict[str, datetime] = {}
    for part in _parts({*(str(row.root_test) for row in rows), *passed.values()}):
        tests_of = Test.objects.filter(project=project, client_uuid__in=part)
        known |= {str(uuid): moment for uuid, moment in tests_of.values_list("client_uuid", "performed_at")}
    found: dict[str, dict[str, Any]] = {}
    for row in rows:
        root = str(row.root_test)
        ended = known.get(passed.get(row.pk, "")) if row.state in _BY_RETEST else row.closed_at
        one = {
            "state": row.state,
            "ended_at": ended or row.closed_at,
            "buried": row.buried,
            "root_known": root in known,
        }
        other = found.get(root)
        if other is not None:
            one["buried"] = one["buried"] or other["buried"]
            if other["state"] in _OPEN:
                one["state"] = other["state"]
            moments = [moment for moment in (one["ended_at"], other["ended_at"]) if moment is not None]
            one["ended_at"] = max(moments, default=datetime.max.replace(tzinfo=UTC)) if len(moments) == 2 else None
        found[root] = one
    return found
