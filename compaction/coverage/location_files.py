"""Locations to take along: GeoJSON (RFC 7946), GPX 1.1 waypoints, KML 2.2. From plain rows, as text.

Longitude and latitude are WGS 84. Elevations of a project are above its own vertical datum; the third coordinate of
GeoJSON is a height above the ellipsoid and `ele` of GPX is shown by receivers beside their own height, so elevations
stand as properties and in words only, and KML points are clamped to the ground.
"""

import json
import unicodedata
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from decimal import Decimal
from typing import Any, Final
from xml.etree.ElementTree import Element, SubElement, tostring

#: 1e-7 degree is about a centimetre
DEGREE_DIGITS: Final = 7
MEDIA: Final = {
    "geojson": "application/geo+json",
    "gpx": "application/gpx+xml",
    "kml": "application/vnd.google-earth.kml+xml",
}


@dataclass(frozen=True)
class Stake:
    """A location as a receiver or map shows it."""

    id: str
    name: str
    area: str
    lift: int
    cell: int
    state: str
    state_words: str
    alignment: str
    station: str
    offset: str
    elevation_m: Decimal | None
    elevation: str  # with its unit, as the project writes it
    vertical_datum: str
    longitude: float
    latitude: float
    remark: str = ""

    @property
    def words(self) -> str:
        """Everything that somebody who stands there wants to read."""
        place = ", ".join(part for part in (f"Sta. {self.station}" if self.station else "", self.offset) if part)
        height = f"elevation {self.elevation}" + (f" ({self.vertical_datum})" if self.vertical_datum else "")
        parts = (place, height if self.elevation else "", self.state_words, self.remark)
        return "; ".join(part for part in parts if part)


def geojson(stakes: Sequence[Stake]) -> str:
    """A FeatureCollection of points; order of coordinates is longitude, latitude."""
    features = []
    for stake in stakes:
        properties: dict[str, Any] = asdict(stake)
        for name in ("id", "longitude", "latitude"):
            properties.pop(name)
        properties["elevation_m"] = None if stake.elevation_m is None else float(stake.elevation_m)
        features.append(
            {
                "type": "Feature",
                "id": stake.id,
                "geometry": {"type": "Point", "coordinates": [_degrees(stake.longitude), _degrees(stake.latitude)]},
                "properties": properties,
            }
        )
    return json.dumps({"type": "FeatureCollection", "features": features}, ensure_ascii=False)


def gpx(stakes: Sequence[Stake], *, title: str) -> str:
    """Waypoints. Members stand in the order of the schema; there is no `ele`."""
    root = Element("gpx", {"xmlns": "http://www.topografix.com/GPX/1/1", "version": "1.1", "creator": "Liftledger"})
    SubElement(SubElement(root, "metadata"), "name").text = _plain(title)
    for stake in stakes:
        point = SubElement(
            root, "wpt", {"lat": f"{stake.latitude:.{DEGREE_DIGITS}f}", "lon": f"{stake.longitude:.{DEGREE_DIGITS}f}"}
        )
        SubElement(point, "name").text = _plain(stake.name)
        SubElement(point, "desc").text = _plain(stake.words)
        SubElement(point, "type").text = _plain(stake.state_words)
    return _text(root)


def kml(stakes: Sequence[Stake], *, title: str) -> str:
    """Placemarks: longitude, latitude, 0, clamped to the ground; what else is known as extended data."""
    root = Element("kml", {"xmlns": "http://www.opengis.net/kml/2.2"})
    document = SubElement(root, "Document")
    SubElement(document, "name").text = _plain(title)
    for stake in stakes:
        mark = SubElement(document, "Placemark")
        SubElement(mark, "name").text = _plain(stake.name)
        SubElement(mark, "description").text = _plain(stake.words)
        data = SubElement(mark, "ExtendedData")
        for name in ("id", "area", "lift", "cell", "state", "alignment", "station", "offset", "elevation_m"):
            value = getattr(stake, name)
            if value not in ("", None):
                SubElement(SubElement(data, "Data", {"name": name}), "value").text = _plain(str(value))
        point = SubElement(mark, "Point")
        SubElement(point, "altitudeMode").text = "clampToGround"
        SubElement(
            point, "coordinates"
        ).text = f"{stake.longitude:.{DEGREE_DIGITS}f},{stake.latitude:.{DEGREE_DIGITS}f},0"
    return _text(root)


def write(kind: str, stakes: Sequence[Stake], *, title: str) -> str:
    """The file of a kind of `MEDIA`."""
    if kind == "geojson":
        return geojson(stakes)
    return gpx(stakes, title=title) if kind == "gpx" else kml(stakes, title=title)


def _degrees(value: float) -> float:
    return round(value, DEGREE_DIGITS)


def _plain(text: str) -> str:
    """What XML 1.0 can carry: control signs and what is no character become blanks; the writer escapes the rest."""
    return "".join(" " if unicodedata.category(sign) in ("Cc", "Cs", "Cn") else sign for sign in text)


def _text(root: Element) -> str:
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + tostring(root, encoding="unicode") + "\n"
