"""A site that is ready to take tests, made through the same actions as pages and API use. Values are invented."""

import uuid
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from compaction.actions import field_tests, place, references, specifications, sweep
from projects import access
from projects.access import Open
from projects.actions import keys, people
from projects.actions import projects as project_actions
from projects.models import Project, Role, Scope, User
from tests.kept_rows import made_once

NOW = datetime(2026, 6, 3, 18, 0, tzinfo=UTC)
CAST = {
    "t.moss": Role.TECHNICIAN,
    "t.reed": Role.TECHNICIAN,
    "s.hale": Role.SUPERVISOR,
    "l.finch": Role.LABORATORY,
    "m.dale": Role.MANAGER,
    "e.stone": Role.ENGINEER,
    "e.brook": Role.ENGINEER,
    "c.pike": Role.CONTRACTOR,
    "o.lake": Role.OWNER,
    "a.wood": Role.ADMINISTRATOR,
}
PASSWORD = "a-long-enough-phrase-7"
BASELINE = {
    "kind": "baseline",
    "unit": "ft",
    "coordinate_unit": "ft",
    "start_station": "1000",
    "points": [["20000", "10000"], ["24000", "10000"]],
}
PROCTOR = {
    "soil": "lean clay, brown",
    "method": "D698-A",
    "maximum_dry_density": "110.0 pcf",
    "optimum_water_content": "15.0 %",
    "specific_gravity": "2.70",
    "specific_gravity_measured": True,
}
SPECIFICATION = {
    "title": "Embankment",
    "criteria": [
        {"quantity": "percent_compaction", "minimum": "95 %", "clause": "Each test at least 95 percent of D698."},
        {
            "quantity": "water_content_deviation",
            "minimum": "-2 %",
            "maximum": "3 %",
            "clause": "Within 2 points dry and 3 points wet of optimum.",
        },
    ],
    "rounding": [
        {"quantity": "dry_density", "increment": "0.1", "unit": "pcf"},
        {"quantity": "percent_compaction", "increment": "0.1", "unit": "%"},
    ],
}


@dataclass
class Site:
    project: Project
    now: datetime

    def opened(self, username: str = "e.stone") -> Open:
        """The project opened by a person of the cast, as it stands at this moment."""
        user = User.objects.get(username=username)
        return access.open_project(user, self.project.code, now=self.now)

    def user(self, username: str) -> User:
        return User.objects.get(username=username)

    def key(self, username: str = "t.moss", scopes: tuple[str, ...] = (Scope.SUBMIT, Scope.READ_PROJECT)) -> str:
        """The text of a new device key that belongs to a person of the cast."""
        return keys.issue(
            opened=self.opened("a.wood"), owner=self.user(username), name="phone", scopes=list(scopes), now=self.now
        )[1]

    def post(self, body: dict[str, Any], *, as_: str = "t.moss", id_: uuid.UUID | None = None) -> field_tests.Recorded:
        return field_tests.record(
            opened=self.opened(as_), client_uuid=id_ or uuid.uuid4(), body=body, raw="", now=self.now
        )


def make_people() -> None:
    for username in CAST:
        if not User.objects.filter(username=username).exists():
            User.objects.create_user(username, password=PASSWORD)
    if not User.objects.filter(username="x.outside").exists():
        User.objects.create_user("x.outside", password=PASSWORD)


def make_project(now: datetime = NOW, *, code: str = "kestrel-dike", epsg_code: int | None = None) -> Site:
    """A project with its cast, alignment `main`, zone `core`, approved reference `P-1` and specification `S-1`."""
    made_once((now, code, epsg_code), lambda: _make_project(now, code=code, epsg_code=epsg_code))
    return Site(Project.objects.get(code=code), now)


def _make_project(now: datetime, *, code: str, epsg_code: int | None) -> None:
    make_people()
    admin = User.objects.get(username="a.wood")
    project = project_actions.create(
        user=admin,
        now=now,
        code=code,
        name="Kestrel Dike",
        time_zone="America/Denver",
        epsg_code=epsg_code,
        vertical_datum="site datum",
    )
    site = Site(project, now)
    for username, role in CAST.items():
        if username != "a.wood":
            people.add_member(opened=site.opened("a.wood"), user=site.user(username), role=role, now=now)
    place.issue_alignment(opened=site.opened(), code="main", rev=1, name="Dike baseline", content=BASELINE, now=now)
    place.issue_area(
        opened=site.opened(),
        code="core",
        rev=1,
        name="Core",
        kind="zone",
        content={
            "alignment": "main",
            "station_from_m": "304.8",
            "station_to_m": "1524",
            "offset_from_m": "-30",
            "offset_to_m": "30",
        },
        now=now,
    )
    references.issue(opened=site.opened("l.finch"), code="P-1", rev=1, body=PROCTOR, now=now)
    references.approve(
        opened=site.opened(), code="P-1", rev=1, client_uuid=uuid.uuid4(), body={"reason": "points checked"}, now=now
    )
    specifications.issue(opened=site.opened("m.dale"), code="S-1", rev=1, body=SPECIFICATION, now=now)
    specifications.approve(
        opened=site.opened(), code="S-1", rev=1, client_uuid=uuid.uuid4(), body={"reason": "as contract"}, now=now
    )
    sweep.run_until_idle()


def gauge_body(**changes: Any) -> dict[str, Any]:
    """A passing gauge test: 106.0 pcf dry at 15.0 %, 96.4 % of 110.0 pcf."""
    body: dict[str, Any] = {
        "performed_at": "2026-06-03T09:15:00-06:00",
        "label": "101",
        "technician": "t.moss",
        "purpose": "acceptance",
        "method": "nuclear_gauge",
        "readings": {
            "mode": "direct_transmission",
            "depth": "6 in",
            "serial": "G-1187",
            "density_standard_count": 2874,
            "moisture_standard_count": 660,
            "wet_density": "121.9 pcf",
            "water_content": "15.0 %",
        },
        "reference": "P-1",
        "reference_basis": "visual",
        "position": {
            "alignment": "main",
            "station": "12+50",
            "offset": "15 L",
            "elevation": "5100.5 ft",
            "elevation_from": "level",
        },
        "lift": 4,
        "lift_thickness": "8 in",
    }
    body.update(changes)
    return body


def failing_body(**changes: Any) -> dict[str, Any]:
    """The same reading the other way: 100.0 pcf dry, 90.9 %."""
    body = gauge_body(**changes)
    body["readings"] = {**body["readings"], "wet_density": "115.0 pcf"}
    return body


def sand_cone_body(**changes: Any) -> dict[str, Any]:
    body = gauge_body(
        label="201",
        method="sand_cone",
        readings={
            "mass_before": "6842 g",
            "mass_after": "2871 g",
            "cone_and_plate_mass": "1612 g",
            "sand_bulk_density": "1.412 g/cm3",
            "soil_wet_mass": "3290 g",
        },
        water_contents=[{"method": "oven", "fraction": "total", "value": "15.0 %"}],
    )
    body.update(changes)
    return body
