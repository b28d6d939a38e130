"""Schemas of draws, substitutions and locations: bodies from the readers' own lists of fields."""

from typing import Final

from api.components import (
    DIGEST,
    FREE,
    ID,
    LONG,
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
    with_parts,
)
from compaction.records import locations

_LONGITUDE_LATITUDE: Final[Schema] = {
    "type": "array",
    "prefixItems": [
        {"type": "number", "minimum": -180, "maximum": 180},
        {"type": "number", "minimum": -90, "maximum": 90},
    ],
    "items": False,
    "minItems": 2,
}


def schemas() -> dict[str, Schema]:
    """Every schema of these, by name."""
    place = {
        "u1": {"type": "string", "description": "Empty where the place was stated."},
        "u2": TEXT,
        "station_m": NUMBER,
        "offset_m": NUMBER,
        "elevation_m": maybe(NUMBER),
    }
    drawn = of(
        {
            "required": maybe(WHOLE),
            "placements": many(ID),
            "basis_sha256": DIGEST,
            "edge_margin_m": NUMBER,
            "done_within_m": NUMBER,
            "locations": many(
                of(
                    {
                        "id": ID,
                        "cell": WHOLE,
                        "alignment": TEXT,
                        "window": many(NUMBER, minItems=4, maxItems=4),
                        **place,
                    }
                )
            ),
        }
    )
    row = {
        "id": ID,
        **{name: TEXT for name in ("area", "seed", "algorithm", "reason_code", "reason", "author")},
        "lift": WHOLE,
        "replaces": maybe(ID),
        "drawn_at": MOMENT,
        "content": FREE,
        "drawn": drawn,
    }
    location = {
        "id": ID,
        "cell": WHOLE,
        "state": {"enum": ["open", "done", "cell_tested"]},
        "alignment": TEXT,
        **place,
        "attempt": WHOLE,
        **{name: TEXT for name in ("reason_code", "reason", "station_text", "offset_text", "test_label")},
        **{name: maybe(NUMBER) for name in ("easting_m", "northing_m", "longitude", "latitude", "distance_m")},
        "instead_of": many(FREE),
        "test": maybe(ID),
        "named_by_test": YES_NO,
    }
    return {
        "LocationDrawBody": with_parts(locations.DRAW_FIELDS, {"reason": LONG}, ()),
        "LocationDraw": of(row),
        "LocationDrawn": of({**row, "receipt": ref("Receipt")}),
        "LocationSubstitution": with_parts(locations.SUBSTITUTION_FIELDS, {"reason": LONG}, ("reason",)),
        "LocationSubstituted": of({"id": ID, "attempt": WHOLE, "place": of(place), "receipt": ref("Receipt")}),
        "LocationPlan": of(
            {
                "area": TEXT,
                "lift": WHOLE,
                "required": maybe(WHOLE),
                "draw": maybe(ID),
                "fill_changed": YES_NO,
                "too_few": YES_NO,
                "cells": many(FREE),
                "locations": many(of(location)),
            }
        ),
        "LocationFeatures": of(
            {
                "type": {"const": "FeatureCollection"},
                "features": many(
                    of(
                        {
                            "type": {"const": "Feature"},
                            "id": ID,
                            "geometry": of({"type": {"const": "Point"}, "coordinates": _LONGITUDE_LATITUDE}),
                            "properties": FREE,
                        }
                    )
                ),
            }
        ),
        "LocationWaypoints": {"type": "string", "description": "GPX 1.1: a waypoint for each location."},
        "LocationPlacemarks": {"type": "string", "description": "KML 2.2: a placemark for each location."},
    }
