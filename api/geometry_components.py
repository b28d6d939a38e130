"""Schemas of alignments and areas read, previews of alignments, and converted positions."""

from typing import Final

from api.components import (
    DAY,
    DIGEST,
    FREE,
    ID,
    MOMENT,
    NUMBER,
    TEXT,
    WHOLE,
    YES_NO,
    Schema,
    many,
    maybe,
    of,
    ref,
)
from compaction.actions.alignment_previews import ANSWERS
from compaction.queries.conversion import MEMBERS, MOST_ROWS
from projects.geometry.areas import ISSUED_KINDS

SHORT: Final[Schema] = {"type": "string", "maxLength": 80}
_WAYS: Final = (("station",), ("easting", "northing"), ("latitude", "longitude"))


def _revisions() -> dict[str, Schema]:
    """Bodies of revisions, and the question what one would change."""
    name = {"type": "string", "maxLength": 120}
    reach = {
        "reach": {"type": "string", "enum": ["all", "from_date"], "description": "Which tests it governs."},
        "effective_from": DAY,
    }
    kind = {"type": "string", "enum": list(ISSUED_KINDS)}
    code = {"type": "string", "maxLength": 40}
    return {
        "Alignment": of({"name": name, "content": FREE, **reach}, optional=tuple(reach)),
        "Area": of(
            {
                "name": name,
                "kind": kind,
                "content": FREE,
                "reason": {"type": "string", "maxLength": 200, "description": "Why it is exempt."},
                **reach,
            },
            optional=("reason", *reach),
        ),
        "GeometryQuestion": of(
            {
                "alignment": {**code, "description": "Code; this or `area`."},
                "area": code,
                "kind": kind,
                "content": FREE,
            },
            optional=("alignment", "area", "kind"),
        ),
    }


def _run() -> Schema:
    """A preview of the geometry as far as it has come."""
    counts = ("moved", "no_longer_placed", "zone_changes", "result_changes", "pass_to_fail", "fail_to_pass")
    texts = ("station_before", "station_after", "zone_before", "zone_after", "result_before", "result_after")
    row = {"test": ID, "label": TEXT, "shift_m": maybe(NUMBER), **{text: TEXT for text in texts}}
    return of(
        {
            "kind": {"type": "string", "enum": ["alignment", "area"]},
            "code": TEXT,
            "total": WHOLE,
            "looked_at": WHOLE,
            "finished": YES_NO,
            "farthest_m": NUMBER,
            **{count: WHOLE for count in counts},
            "sentence": TEXT,
            "asked_at": MOMENT,
            "rows": many(of(row), description="The first 200 tests that change."),
        }
    )


def _report() -> dict[str, Schema]:
    stations = ("station_from", "station_to", "length", "turn_deg", "azimuth_start_deg", "azimuth_end_deg", "chord")
    coordinates = ("easting_start", "northing_start", "easting_end", "northing_end")
    element = {
        "number": WHOLE,
        **{name: TEXT for name in ("text_from", "text_to", "turn")},
        "kind": {"type": "string", "enum": ["line", "arc", "clothoid"]},
        **{name: NUMBER for name in (*stations, *coordinates)},
        **{name: maybe(NUMBER) for name in ("radius_start", "radius_end", "parameter", "misclosure")},
    }
    junction = {
        "number": WHOLE,
        **{name: NUMBER for name in ("station", "gap", "kink_deg")},
        **{name: TEXT for name in ("text", "state", "sentence")},
    }
    equation = {"number": WHOLE, "station": NUMBER, **{name: TEXT for name in ("back", "ahead", "kind", "sentence")}}
    vertical = {
        "number": WHOLE,
        **{name: NUMBER for name in ("station", "elevation")},
        **{name: TEXT for name in ("text", "curve", "turning_text")},
        **{name: maybe(NUMBER) for name in ("grade_in_pct", "grade_out_pct", "length", "k", "turning_elevation")},
    }
    units = ("unit", "unit_name", "coordinate_unit", "coordinate_unit_name")
    words = ("kind", *units, "text_start", "text_end", "scale", "feet")
    return {
        "AlignmentElement": of(element),
        "AlignmentReport": of(
            {
                **{name: TEXT for name in words},
                **{name: NUMBER for name in ("start_station", "end_station", "length")},
                "source": many(many(TEXT)),
                "elements": many(ref("AlignmentElement")),
                "junctions": many(of(junction)),
                "equations": many(of(equation)),
                "profile_surface": TEXT,
                "profile": many(of(vertical)),
                "remarks": many(many(TEXT)),
            }
        ),
    }


def _lists() -> dict[str, Schema]:
    line = {
        **{name: TEXT for name in ("code", "name", "reach", "kind", "reason")},
        "rev": WHOLE,
        "effective_from": maybe(DAY),
        "created_at": MOMENT,
        "digest": DIGEST,
    }
    return {
        "GeometryLine": of(line),
        "GeometryList": of({"items": many(of({"code": TEXT, "revisions": many(ref("GeometryLine"))}))}),
        "AlignmentRevision": of({**line, "content": FREE, "report": ref("AlignmentReport")}),
        "AreaRevision": of({**line, "content": FREE, "size": TEXT}),
    }


def _previews() -> dict[str, Schema]:
    severity = {"type": "string", "enum": ["information", "warning", "error"]}
    closure = {
        "number": WHOLE,
        "kind": TEXT,
        "stated_length": maybe(NUMBER),
        "computed_length": NUMBER,
        "misclosure": maybe(NUMBER),
        "compared": TEXT,
    }
    question = {
        "name": {"type": "string", "enum": list(ANSWERS)},
        "sentence": TEXT,
        "options": many(of({"value": TEXT, "words": TEXT})),
    }
    file = {"alignment": TEXT, "facts": many(of({"name": TEXT, "value": TEXT})), "closures": many(of(closure))}
    return {
        "AlignmentToPreview": of(
            {
                "content": FREE,
                "landxml": {"type": "string", "description": "The whole text of a LandXML file."},
                "answers": of({name: SHORT for name in ANSWERS}, optional=ANSWERS),
                "scale": maybe(FREE),
                "file_name": TEXT,
            },
            optional=("content", "landxml", "answers", "scale", "file_name"),
        ),
        "AlignmentPreview": of(
            {
                "usable": YES_NO,
                "content": maybe(FREE),
                "report": maybe(ref("AlignmentReport")),
                "file": maybe(of(file)),
                "questions": many(of(question)),
                "remarks": many(of({"code": TEXT, "severity": severity, "sentence": TEXT})),
            }
        ),
    }


def _conversions() -> dict[str, Schema]:
    asked = of({name: SHORT for name in MEMBERS}, optional=MEMBERS)
    asked["oneOf"] = [{"required": list(way)} for way in _WAYS]
    candidate = {name: TEXT for name in ("alignment", "station_text", "offset_text")} | {"distance_m": NUMBER}
    figures = ("station", "offset", "easting", "northing", "latitude", "longitude")
    states = ("placed", "question", "no_station", "refused")
    row = {
        "number": WHOLE,
        **{name: TEXT for name in ("label", "sentence", "alignment", "unit", "station_text", "offset_text")},
        "state": {"type": "string", "enum": list(states)},
        **{name: maybe(NUMBER) for name in figures},
        "candidates": many(of(candidate)),
    }
    grid = {
        "epsg": WHOLE,
        **{name: TEXT for name in ("name", "unit", "operation")},
        "accuracy_m": maybe(NUMBER),
        "frame_m": {**NUMBER, "description": "Allowance for reading WGS 84 as the grid's own datum."},
    }
    return {
        "PositionsToConvert": of(
            {
                "alignment": {"type": "string", "maxLength": 40, "description": "For rows that name none."},
                "rows": many(asked, minItems=1, maxItems=MOST_ROWS),
            },
            optional=("alignment",),
        ),
        "ConvertedPositions": of(
            {
                "rows": many(of(row)),
                "summary": of({state: WHOLE for state in states}),
                "coordinate_unit": TEXT,
                "grid": maybe(of(grid)),
            }
        ),
    }


def schemas() -> dict[str, Schema]:
    """Every schema of this part, by name."""
    return {
        **_revisions(),
        "GeometryPreview": _run(),
        **_report(),
        **_lists(),
        **_previews(),
        **_conversions(),
    }
