"""Where to test next: draws of random locations, substitutions, the locations as JSON, GeoJSON, GPX and KML."""

from typing import Any, ClassVar
from uuid import UUID

from django.http import HttpResponse
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from api import operations as ask
from api.errors import Problem
from api.operations import Operation, Parameter
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.placements import LIFT
from api.v1.revisions import sent_object
from compaction.actions import locations as actions
from compaction.actions import substitutions
from compaction.actions.refusals import Refused, Unknown
from compaction.coverage.location_files import MEDIA, write
from compaction.models import LocationDraw
from compaction.queries import locations as queries
from compaction.queries.location_places import PlacedLocation, places, stakes
from compaction.queries.locations import GroupPlan

PROBLEMS = ("content-conflict", "content-unreadable", "conflict", "not-current")
AREA = Parameter("area", ask.words(200), "Area as it is named in placements.", {"type": "string", "maxLength": 200})
STATE = Parameter("state", ask.choice("all", "open"), "`open`: only those still to do.", {"enum": ["all", "open"]})


def draw(row: LocationDraw) -> dict[str, Any]:
    """A draw with everything that it can be repeated from."""
    return {
        "id": str(row.client_uuid),
        "area": row.area,
        "lift": row.lift,
        "seed": row.seed,
        "algorithm": row.algorithm,
        "replaces": None if row.supersedes is None else str(row.supersedes),
        "reason_code": row.reason_code,
        "reason": row.reason,
        "author": row.author,
        "drawn_at": answers.plain(row.drawn_at),
        "content": answers.stored(row.content),
        "drawn": answers.stored(row.drawn),
    }


def location(found: PlacedLocation) -> dict[str, Any]:
    """A location with its state and every way to find it."""
    line = found.line
    return {
        "id": line.uuid,
        **{name: answers.plain(getattr(line, name)) for name in ("cell", "state", "alignment", "u1", "u2", "attempt")},
        **{name: answers.plain(getattr(line, name)) for name in ("station_m", "offset_m", "elevation_m")},
        **{name: getattr(line, name) for name in ("reason_code", "reason")},
        **{
            name: answers.plain(getattr(found, name))
            for name in ("station_text", "offset_text", "easting_m", "northing_m", "longitude", "latitude")
        },
        "instead_of": list(line.instead_of),
        "test": line.ticked.test or None,
        "test_label": line.ticked.label,
        "distance_m": answers.plain(line.ticked.distance_m),
        "named_by_test": line.ticked.named,
    }


class LocationGroup(ProjectResource):
    """What every address of a group's locations needs: area and lift, and somebody who may see the whole project."""

    tag = "locations"
    whole_project = True

    def plan(self) -> GroupPlan:
        """The group asked for. Raises `Unknown`."""
        missing = [name for name in ("area", "lift") if name not in self.query]
        if missing:
            sentence = f"Give {' and '.join(missing)}; locations belong to one area on one lift."
            raise Problem("query-parameter", sentence, errors=[("", "parameter-missing", sentence)])
        found = queries.group_plan(self.opened, self.query["area"], self.query["lift"])
        if found is None:
            raise Unknown("Nothing is placed there.")
        return found


class LocationList(LocationGroup):
    """Cells and locations of an area on a lift."""

    operations = {
        "GET": Operation(
            needs="read",
            summary="Read where to test next",
            words=(
                "`cells` are equal parts of the fill, as many as tests are required (or were drawn); `locations` are "
                "those of the draw in force. A location is *done* by the nearest original test within the draw's "
                "distance, or by one that names it as `location`."
            ),
            answers={200: "LocationPlan"},
            parameters=(AREA, LIFT),
        )
    }

    def get(self, request: Request, project: str) -> Response:
        """The plan."""
        plan = self.plan()
        return Response(
            {
                "area": plan.area,
                "lift": plan.lift,
                "required": plan.required,
                "draw": None if plan.draw is None else str(plan.draw.client_uuid),
                "fill_changed": plan.fill_changed,
                "too_few": plan.too_few,
                "cells": answers.plain(plan.cells),
                "locations": [location(one) for one in places(self.opened, plan, now=self.now)],
            }
        )


class _As(BaseRenderer):
    """Lets a caller ask for the file by its media type; what is written comes from the view."""

    charset = "utf-8"
    render_style = "text"

    def render(self, data: Any, media_type: str | None = None, context: Any = None) -> bytes:
        """Only problems come this way."""
        return JSONRenderer().render(data)


class _File(LocationGroup):
    kind: ClassVar[str]

    def get(self, request: Request, project: str) -> HttpResponse:
        """The file."""
        plan = self.plan()
        found = stakes(self.opened, plan, now=self.now, only_open=self.query.get("state") == "open")
        if plan.locations and not self.opened.project.epsg_code:
            raise Refused(
                "The project names no map grid, so its locations have no longitude and latitude; take the list.",
                code="no-map-grid",
            )
        title = f"{self.opened.project.name}, lift {plan.lift}, {plan.area}"
        return HttpResponse(write(self.kind, found, title=title), content_type=f"{MEDIA[self.kind]}; charset=utf-8")


def _operation(kind: str, name: str, answer: str) -> dict[str, Operation]:
    return {
        "GET": Operation(
            needs="read",
            summary=f"Take the locations along as {name}",
            answers={200: answer},
            parameters=(AREA, LIFT, STATE),
            problems=("conflict",),
            media=MEDIA[kind],
        )
    }


class LocationGeoJson(_File):
    """RFC 7946; elevations as properties only."""

    kind = "geojson"
    renderer_classes = (type("AsGeoJson", (_As,), {"media_type": MEDIA["geojson"]}), JSONRenderer)
    operations = _operation("geojson", "GeoJSON", "LocationFeatures")


class LocationGpx(_File):
    """GPX 1.1 waypoints for a receiver."""

    kind = "gpx"
    renderer_classes = (type("AsGpx", (_As,), {"media_type": MEDIA["gpx"]}), JSONRenderer)
    operations = _operation("gpx", "GPX", "LocationWaypoints")


class LocationKml(_File):
    """KML 2.2, clamped to the ground."""

    kind = "kml"
    renderer_classes = (type("AsKml", (_As,), {"media_type": MEDIA["kml"]}), JSONRenderer)
    operations = _operation("kml", "KML", "LocationPlacemarks")


class LocationDrawing(ProjectResource):
    """A draw under the client's id."""

    tag = "locations"
    operations = {
        "GET": Operation(needs="read", summary="Read a draw of locations", answers={200: "LocationDraw"}),
        "PUT": Operation(
            needs="draw-locations",
            summary="Draw random locations",
            words=(
                "One place at random in each of as many equal cells as tests are required (or as `tests` says), after "
                "the fill is placed. The seed is made by the service and kept with U1 and U2. To draw again, name the "
                "draw in force as `replaces` and say why."
            ),
            body="LocationDrawBody",
            answers={201: "LocationDrawn", 200: "LocationDrawn"},
            problems=PROBLEMS,
            headers={"Idempotent-Replay": "true if it was on record."},
        ),
    }

    def get(self, request: Request, project: str, draw_id: UUID) -> Response:
        """The draw as kept."""
        row = queries.draw_row(self.opened, draw_id)
        if row is None:
            raise Unknown("There is no such draw in this project.")
        return Response(draw(row))

    def put(self, request: Request, project: str, draw_id: UUID) -> Response:
        """Draw."""
        done = actions.draw(opened=self.opened, client_uuid=draw_id, body=sent_object(self), now=self.now)
        content = {**draw(done.row), "receipt": answers.receipt(done.receipt)}
        return answers.once(content, created=done.created, location=self.address("draws", draw_id))


class LocationSubstitution(ProjectResource):
    """Another place for a location that can't be tested."""

    tag = "locations"
    operations = {
        "PUT": Operation(
            needs="draw-locations",
            summary="Substitute a location",
            words=(
                "Without `station` and `offset` the next random place of the same cell is drawn; a stated one has to "
                "lie in the cell. The place that is given up stays on record with the reason."
            ),
            body="LocationSubstitution",
            answers={201: "LocationSubstituted", 200: "LocationSubstituted"},
            problems=PROBLEMS,
            headers={"Idempotent-Replay": "true if it was on record."},
        )
    }

    def put(self, request: Request, project: str, draw_id: UUID, location: UUID, substitution: UUID) -> Response:
        """Take another place."""
        done = substitutions.substitute(
            opened=self.opened,
            draw_uuid=draw_id,
            location=location,
            client_uuid=substitution,
            body=sent_object(self),
            now=self.now,
        )
        content = {
            "id": str(substitution),
            "attempt": done.row.attempt,
            "place": answers.stored(done.row.place),
            "receipt": answers.receipt(done.receipt),
        }
        return answers.once(content, created=done.created)
