"""Schemas of alignments and areas read, previews of alignments, and converted positions."""

from typing import Final

from api.components import (
    DAY,
    DIGEST,
    FREE,
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

SHORT: Final[Schema] = {"type": "string", "maxLength": 80}
_WAYS: Final = (("station",), ("easting", "northing"), ("latitude", "longitude"))


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
    words = ("kind", "unit", "unit_name", "coordinate_unit", "coordinate_unit_name", "text_start", "text_end", "scale")
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
    return {**_report(), **_lists(), **_previews(), **_conversions()}
