"""GeoJSON of what the map shows, from register rows and geometry. Texts stay texts: the page sets them as text nodes.

Coordinates are longitude and latitude where the project has a map grid (RFC 7946), else easting and northing in
metres, said by the member "coordinates".
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from decimal import Decimal
from math import cos, sin
from typing import Any

from compaction.coverage.facts import Covered
from compaction.maps.ground import Ground
from compaction.register import (
    ACCEPTED,
    BURIED_FAILURE,
    MARK_WORDS,
    PASSED_ON_RETEST,
    PlacementRow,
    TestRow,
    mark,
)
from projects.geometry.alignment import Alignment
from projects.geometry.areas import Area, area_from_plain
from projects.geometry.drawing import area_outline, polyline, station_ticks
from projects.geometry.station_format import StationFormat

Json = dict[str, Any]
_CHANGED = frozenset({PASSED_ON_RETEST, ACCEPTED, BURIED_FAILURE})


@dataclass(frozen=True)
class DrawnArea:
    """An area as the map needs it: `kind` is one of `areas.ISSUED_KINDS`."""

    code: str
    name: str
    kind: str
    shape: Area


def collection(features: list[Json], ground: Ground, **members: Any) -> Json:
    """A FeatureCollection that says what its coordinates are."""
    kind = "easting and northing, metres" if ground.simple else "longitude and latitude, WGS 84"
    return {"type": "FeatureCollection", "coordinates": kind, **members, "features": features}


def tests(rows: Sequence[TestRow], *, ground: Ground, zone_info: tzinfo, closed_at: Mapping[str, datetime]) -> Json:
    """One point for each test that has a place. `closed_at` holds the closing of failures by their uuid."""
    passed_at = _passing_retests(rows)
    features = []
    without_place = 0
    for row in rows:
        place = ground.of_test(
            easting_m=row.easting_m, northing_m=row.northing_m, longitude=row.longitude, latitude=row.latitude
        )
        if place is None:
            without_place += 1
            continue
        features.append(
            {
                "type": "Feature",
                "geometry": {"type": "Point", "coordinates": place},
                "properties": _test(row, zone_info, passed_at, closed_at),
            }
        )
    return collection(features, ground, without_place=without_place)


def _passing_retests(rows: Iterable[TestRow]) -> dict[str, datetime]:
    """Failure -> when its last passing retest was made."""
    found: dict[str, datetime] = {}
    for row in rows:
        if row.failure_uuid and row.attempt and row.result == "pass" and not row.voided:
            known = found.get(row.failure_uuid)
            found[row.failure_uuid] = row.performed_at if known is None else max(known, row.performed_at)
    return found


def _test(
    row: TestRow, zone_info: tzinfo, passed_at: Mapping[str, datetime], closed_at: Mapping[str, datetime]
) -> Json:
    drawn = mark(row)
    local = row.performed_at.astimezone(zone_info).isoformat()  # sliced: strftime costs three times as much
    properties: Json = {
        "uuid": row.uuid,
        "label": row.name,
        "mark": drawn,
        "words": MARK_WORDS[drawn],
        "day": local[:10],
        "time": local[11:16],
        "lift": row.lift,
    }
    more: Json = {
        "percent": _percent(
            row.percent_compaction if row.percent_compaction_judged is None else row.percent_compaction_judged
        ),
        "limit": _percent(row.percent_compaction_minimum),
        "relative_density": _percent(
            row.relative_density_pct if row.relative_density_judged is None else row.relative_density_judged
        ),
        "relative_density_limit": _percent(row.relative_density_minimum),
        "margin": row.margin,
        "station": row.station_text,
        "offset": row.offset_text,
        "zone": row.zone,
        "technician": row.technician,
        "reference": row.reference_code,
        "retest_of": row.retest_of,
        "check_of": row.check_of,
        "attempt": row.attempt,
        "failure": row.failure_state.replace("_", " "),
        "holds": ", ".join(row.open_holds).replace("-", " "),
        "version": row.version if row.amended else 0,
    }
    properties.update({name: value for name, value in more.items() if value})  # what is empty need not be sent
    if drawn in _CHANGED:
        # The replay shows it as failing up to that moment.
        moment = passed_at.get(row.failure_uuid) if drawn == PASSED_ON_RETEST else closed_at.get(row.failure_uuid)
        if moment is not None and drawn != BURIED_FAILURE:
            properties["fails_until"] = moment.astimezone(zone_info).strftime("%Y-%m-%d")
    return properties


def _percent(value: Decimal | None) -> str:
    """As judged, without idle zeros: 95, 94.6."""
    if value is None:
        return ""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return text if text != "-0" else "0"


def placements(
    rows: Sequence[PlacementRow],
    *,
    ground: Ground,
    alignments: dict[str, Alignment],
    zone_info: tzinfo,
    covers: Mapping[tuple[str, int], Covered] | None = None,
) -> Json:
    """One outline for each placement whose alignment is known, with the state of its area and lift (`covers`)."""
    features = []
    for row in rows:
        outline = ground.line(area_outline(area_from_plain(json.loads(row.limits)), alignments))
        if len(outline) < 3:
            continue
        features.append(
            _polygon(
                outline,
                uuid=row.uuid,
                area=row.area,
                lift=row.lift,
                day=row.placed_at.astimezone(zone_info).strftime("%Y-%m-%d"),
                **_stands((covers or {}).get((row.area, row.lift))),
            )
        )
    return collection(features, ground)


def _stands(cover: Covered | None) -> Json:
    if cover is None:
        return {}
    return {
        "state": cover.state,
        "passing": cover.passing,
        "required": cover.required,
        "short": cover.short,
        "buried": cover.buried,
        "over_unreleased": cover.over_unreleased,
    }


def observations(
    rows: Iterable[Any],
    *,
    ground: Ground,
    alignments: dict[str, Alignment],
    zone_info: tzinfo,
    kinds: Mapping[str, str],
) -> Json:
    """One outline for each proof roll and observed area (`queries.observed_areas`) whose alignment is known."""
    features = []
    for row in rows:
        outline = ground.line(area_outline(area_from_plain(json.loads(row.limits)), alignments))
        if len(outline) >= 3:
            features.append(
                _polygon(
                    outline,
                    uuid=row.uuid,
                    kind=row.kind,
                    words=", ".join(part for part in (kinds[row.kind], row.verdict) if part),
                    sound=row.sound,
                    accepted=row.accepted,
                    area=row.area,
                    lift=row.lift,
                    day=row.observed_at.astimezone(zone_info).strftime("%Y-%m-%d"),
                )
            )
    return collection(features, ground)


def areas(drawn: Sequence[DrawnArea], *, ground: Ground, alignments: dict[str, Alignment]) -> Json:
    """Outlines of zones, exempt areas and declared work."""
    features = []
    for area in drawn:
        outline = ground.line(area_outline(area.shape, alignments))
        if len(outline) >= 3:
            features.append(_polygon(outline, code=area.code, name=area.name, kind=area.kind))
    return collection(features, ground)


def _polygon(outline: list[list[float]], **properties: Any) -> Json:
    ring = outline if outline[0] == outline[-1] else [*outline, outline[0]]
    return {"type": "Feature", "geometry": {"type": "Polygon", "coordinates": [ring]}, "properties": properties}


def alignment_lines(named: Mapping[str, tuple[str, Alignment]], *, ground: Ground, station_digits: int) -> Json:
    """Each alignment as a line, and its station ticks as short lines that point ahead along it."""
    features: list[Json] = []
    for code, (name, alignment) in named.items():
        line = ground.line(polyline(alignment))
        if len(line) < 2:
            continue
        features.append(
            {
                "type": "Feature",
                "geometry": {"type": "LineString", "coordinates": line},
                "properties": {"kind": "alignment", "code": code, "name": name},
            }
        )
        for tick in station_ticks(alignment, StationFormat(station_digits), every=_tick_distance(alignment)):
            ahead = (tick.easting_m + cos(tick.direction_rad), tick.northing_m + sin(tick.direction_rad))
            ends = ground.line([(tick.easting_m, tick.northing_m), ahead])
            if len(ends) == 2:
                features.append(
                    {
                        "type": "Feature",
                        "geometry": {"type": "LineString", "coordinates": ends},
                        "properties": {"kind": "tick", "station": tick.text, "code": code},
                    }
                )
    return collection(features, ground)


def _tick_distance(alignment: Alignment) -> Decimal:
    """Every 100 units of the alignment, as plans are ticked; farther apart on a line of more than 1,000 of them."""
    distance = Decimal(100)
    while Decimal(str(alignment.length_m)) / alignment.unit.metres / distance > 1000:
        distance *= 10
    return distance


def bounds(collections: Iterable[Json]) -> list[list[float]] | None:
    """South-west and north-east corner [[y, x], [y, x]] of everything in the collections; None if there is nothing."""
    places = [place for found in collections for feature in found["features"] for place in _places(feature)]
    if not places:
        return None
    xs, ys = [place[0] for place in places], [place[1] for place in places]
    return [[min(ys), min(xs)], [max(ys), max(xs)]]


def _places(feature: Json) -> list[list[float]]:
    kind, found = feature["geometry"]["type"], feature["geometry"]["coordinates"]
    if kind == "Point":
        return [found]
    return found[0] if kind == "Polygon" else found
