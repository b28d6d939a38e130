"""Register rows and stories for lists, pages, the map and the API. Always from an opened project."""

import json
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from django.db.models import Q, QuerySet

from compaction import evaluation
from compaction.facts import Outcome
from compaction.models import (
    Decision,
    Failure,
    FailureTest,
    PlacementVersion,
    Rework,
    Test,
    TestOutcome,
    TestPosition,
    TestVersion,
)
from compaction.records.placement_parts import said_not_tested
from compaction.register import FailureRow, PlacementRow, TestRow
from projects.access import Open
from projects.models import JournalEvent, Project

OPEN_STATES = ("open", "reworked", "passed_on_retest", "passed_on_reassessment")


@dataclass(frozen=True)
class TestFilter:
    """What a list is narrowed to; empty members narrow nothing."""

    __test__ = False

    lift: int | None = None
    result: str = ""
    zone: str = ""
    technician: str = ""
    reference: str = ""
    date_from: date | None = None
    date_to: date | None = None
    failures_only: bool = False
    q: str = ""
    uuids: tuple[str, ...] = ()


def day_range(project: Project, day: date) -> tuple[datetime, datetime]:
    """Start and end of a project-local day."""
    zone = project.zone_info
    return (
        datetime.combine(day, time.min, tzinfo=zone),
        datetime.combine(day + timedelta(days=1), time.min, tzinfo=zone),
    )


def has_tests(opened: Open) -> bool:
    """Whether the project has any test."""
    return Test.objects.filter(project=opened.project).exists()


def _chosen(opened: Open, chosen: TestFilter) -> QuerySet[Test]:
    rows = Test.objects.filter(project=opened.project)
    if opened.only_own:
        rows = rows.filter(device=opened.actor.ident)
    if chosen.lift is not None:
        rows = rows.filter(lift=chosen.lift)
    if chosen.result == "voided":
        rows = rows.filter(voided=True)
    elif chosen.result == "on_hold":
        rows = rows.exclude(open_holds="")
    elif chosen.result == "provisional":
        rows = rows.filter(basis="provisional", voided=False)
    elif chosen.result:
        rows = rows.filter(result=chosen.result, voided=False)
    for name in ("zone", "technician"):
        if value := getattr(chosen, name):
            rows = rows.filter(**{name: value})
    if chosen.reference:
        rows = rows.filter(reference_code=chosen.reference)
    if chosen.date_from is not None:
        rows = rows.filter(performed_at__gte=day_range(opened.project, chosen.date_from)[0])
    if chosen.date_to is not None:
        rows = rows.filter(performed_at__lt=day_range(opened.project, chosen.date_to)[1])
    if chosen.failures_only:
        rows = rows.filter(result="fail", voided=False)
    if chosen.q:
        rows = rows.filter(Q(label__icontains=chosen.q) | Q(station_text__icontains=chosen.q))
    if chosen.uuids:
        rows = rows.filter(client_uuid__in=chosen.uuids)
    return rows


def test_rows(
    opened: Open,
    chosen: TestFilter | None = None,
    *,
    limit: int | None = 100,
    after: tuple[str, int] | None = None,
) -> list[TestRow]:
    """Newest first; `after` is the `position` of the last row seen. Two statements."""
    rows = _chosen(opened, chosen or TestFilter()).order_by("-performed_at", "-id")
    if after is not None:
        moment, number = datetime.fromisoformat(after[0]), after[1]
        rows = rows.filter(Q(performed_at__lt=moment) | Q(performed_at=moment, id__lt=number))
    found = list(rows[:limit] if limit else rows)
    return _rows(opened.project, found)


test_rows.__test__ = False  # type: ignore[attr-defined]  # keeps the test runner from collecting it


def _rows(project: Project, tests: list[Test]) -> list[TestRow]:
    uuids = [test.client_uuid for test in tests]
    links = FailureTest.objects.filter(failure__project=project)
    if len(uuids) <= 500:
        links = links.filter(test_uuid__in=uuids)
    part: dict[str, FailureTest] = {}
    for link in links.select_related("failure").order_by("failure__opened_at", "failure__uuid"):
        known = part.get(str(link.test_uuid))
        if known is None or _gravity(link.failure) > _gravity(known.failure):
            part[str(link.test_uuid)] = link
    return [_row(test, part.get(str(test.client_uuid))) for test in tests]


def _gravity(failure: Failure) -> tuple[bool, bool]:
    return failure.buried, failure.state in ("open", "reworked")


def _row(test: Test, link: FailureTest | None) -> TestRow:
    return TestRow(
        uuid=str(test.client_uuid),
        position=(test.performed_at.isoformat(), test.pk),
        label=test.label,
        performed_at=test.performed_at,
        received_at=test.received_at,
        technician=test.technician,
        method=test.method,
        purpose=test.purpose,
        alignment=test.alignment,
        station_text=test.station_text,
        offset_text=test.offset_text,
        station_m=test.station_m,
        offset_m=test.offset_m,
        easting_m=test.easting_m,
        northing_m=test.northing_m,
        longitude=test.longitude,
        latitude=test.latitude,
        elevation_m=test.elevation_m,
        depth_below_grade_m=test.depth_below_grade_m,
        zone=test.zone,
        exempt=test.exempt,
        lift=test.lift,
        reference_code=test.reference_code,
        percent_compaction=test.percent_compaction,
        percent_compaction_judged=test.percent_compaction_judged,
        percent_compaction_minimum=test.percent_compaction_minimum,
        relative_density_pct=test.relative_density_pct,
        relative_density_judged=test.relative_density_judged,
        relative_density_minimum=test.relative_density_minimum,
        dry_density_kgm3=test.dry_density_kgm3,
        water_content_pct=test.water_content_pct,
        water_content_deviation=test.water_content_deviation,
        result=test.result,
        density_result=test.density_result,
        moisture_result=test.moisture_result,
        basis=test.basis,
        margin=test.margin,
        open_holds=tuple(test.open_holds.split()),
        finding_codes=tuple(test.finding_codes.split()),
        voided=test.voided,
        version=test.current_version,
        retest_of=str(test.retest_of or ""),
        check_of=str(test.check_of or ""),
        attempt=link.attempt if link else int(test.retest_of is not None),
        failure_uuid=str(link.failure.uuid) if link else "",
        failure_state=link.failure.state if link else "",
        buried=bool(link and link.failure.buried),
    )


def failure_rows(
    opened: Open, *, open_only: bool = False, now: datetime, uuids: list[str] | None = None
) -> list[FailureRow]:
    """Open failures first, the oldest on top. Four statements whatever their number."""
    failures = Failure.objects.filter(project=opened.project)
    if open_only:
        failures = failures.filter(state__in=OPEN_STATES)
    if uuids is not None:
        failures = failures.filter(uuid__in=uuids)
    found = sorted(failures, key=lambda row: (row.closed_at is not None, not row.buried, row.opened_at, str(row.uuid)))
    roots = (
        {
            row.uuid: row
            for row in test_rows(opened, TestFilter(uuids=tuple(str(row.root_test) for row in found)), limit=None)
        }
        if found
        else {}
    )
    return [
        FailureRow(
            uuid=str(row.uuid),
            kind=row.kind,
            state=row.state,
            root=roots.get(str(row.root_test)),
            root_test=str(row.root_test),
            attempts=row.attempts,
            age_days=((row.closed_at or now) - row.opened_at).days,
            opened_at=row.opened_at,
            last_action_at=row.last_action_at,
            last_action=row.last_action,
            next_action=row.next_action,
            closed_at=row.closed_at,
            buried=row.buried,
            buried_by=row.buried_by,
            reopened=row.reopened,
            basis_changed=row.basis_changed,
            chain_digest=row.chain_digest,
        )
        for row in found
    ]


def placement_rows(opened: Open, *, lift: int | None = None) -> list[PlacementRow]:
    """Current placements, lowest lift first. One statement."""
    rows = PlacementVersion.objects.filter(project=opened.project).order_by("client_uuid", "version")
    if lift is not None:
        rows = rows.filter(lift=lift)
    current = {row.client_uuid: row for row in rows}
    return [_placement(row) for row in sorted(current.values(), key=lambda row: (row.lift, row.placed_at))]


def _placement(row: PlacementVersion) -> PlacementRow:
    body = json.loads(row.content)
    return PlacementRow(
        uuid=str(row.client_uuid),
        version=row.version,
        area=row.area,
        lift=row.lift,
        placed_at=row.placed_at,
        alignment=row.alignment,
        station_from=body.get("station_from", ""),
        station_to=body.get("station_to", ""),
        offset_from=body.get("offset_from", ""),
        offset_to=body.get("offset_to", ""),
        elevation_top_m=row.elevation_top_m,
        thickness_m=row.thickness_m,
        quantity_m3=row.quantity_m3,
        limits=row.limits,
        author=row.author,
        **{name: body.get(name, "") for name in ("material", "side", "lot")},
        not_tested=said_not_tested(body["not_tested"], "") if "not_tested" in body else "",
    )


@dataclass(frozen=True)
class TestStory:
    """Everything on record about one test."""

    __test__ = False

    row: TestRow
    versions: list[TestVersion]
    outcomes: list[TestOutcome]
    decisions: list[Decision]
    events: list[JournalEvent]
    outcome: Outcome
    position: dict
    content: dict
    relatives: list[TestRow] = field(default_factory=list)


def story(opened: Open, uuid: str) -> TestStory | None:
    """One test with its versions, outcomes, decisions and events; None if there is none to be seen."""
    test = _chosen(opened, TestFilter(uuids=(uuid,))).first()
    if test is None:
        return None
    versions = list(TestVersion.objects.filter(test=test).order_by("version"))
    outcomes = list(TestOutcome.objects.filter(test_version__test=test).select_related("test_version").order_by("id"))
    current = next(
        row
        for row in reversed(outcomes)
        if row.test_version.version == test.current_version and row.inputs_digest == test.inputs_digest
    )
    place = TestPosition.objects.filter(test_version=versions[-1]).order_by("-id").first()
    decisions = list(
        Decision.objects.filter(project=opened.project, subject_kind="test", subject=uuid).order_by("decided_at")
    )
    events = JournalEvent.objects.filter(project=opened.project).filter(
        Q(subject_kind="test", subject=uuid)
        | Q(subject_kind="decision", subject__in=[str(item.client_uuid) for item in decisions])
    )
    linked = Test.objects.filter(project=opened.project).filter(
        Q(retest_of=uuid)
        | Q(check_of=uuid)
        | Q(client_uuid__in=[key for key in (test.retest_of, test.check_of) if key])
    )
    [row] = _rows(opened.project, [test])
    return TestStory(
        row=row,
        versions=versions,
        outcomes=outcomes,
        decisions=decisions,
        events=list(events.order_by("seq")),
        outcome=evaluation.from_plain(json.loads(current.content)),
        position=json.loads(place.content) if place else {},
        content=json.loads(versions[-1].content),
        relatives=_rows(opened.project, list(linked.order_by("performed_at"))),
    )


@dataclass(frozen=True)
class FailureStory:
    row: FailureRow
    tests: list[tuple[FailureTest, TestRow | None]]
    reworks: list[Rework]
    decisions: list[Decision]


def failure_story(opened: Open, uuid: str, *, now: datetime) -> FailureStory | None:
    """A failure with its tests, reworks and decisions in order; None if there is none to be seen."""
    rows = failure_rows(opened, now=now, uuids=[uuid])
    if not rows:
        return None
    links = list(
        FailureTest.objects.filter(failure__project=opened.project, failure__uuid=uuid).order_by("attempt", "test_uuid")
    )
    tests = (
        {
            row.uuid: row
            for row in test_rows(opened, TestFilter(uuids=tuple(str(link.test_uuid) for link in links)), limit=None)
        }
        if links
        else {}
    )
    return FailureStory(
        row=rows[0],
        tests=[(link, tests.get(str(link.test_uuid))) for link in links],
        reworks=list(Rework.objects.filter(project=opened.project, failure_uuid=uuid)),
        decisions=list(
            Decision.objects.filter(project=opened.project, subject_kind="failure", subject=uuid).order_by("decided_at")
        ),
    )
