"""Many places at once: station and offset, easting and northing, latitude and longitude, each from any other.

A row that can be read in more than one way gets a question and no figures; nothing is guessed or clamped.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from projects.geometry import crs, crs_many
from projects.geometry.alignment import Alignment
from projects.geometry.conversion_rows import (
    MOST_ROWS,
    NO_STATION,
    PLACED,
    QUESTION,
    REFUSED,
    Asked,
    Candidate,
    Converted,
)
from projects.geometry.feet import BEYOND_END, BEYOND_START, ON
from projects.geometry.foot_choice import OnLine, choose, on_lines
from projects.geometry.nearest_lines import NearestLines, nearest_lines
from projects.geometry.plan_position import in_plan
from projects.geometry.positions import offset_text
from projects.geometry.projection import REASONS, Projection
from projects.geometry.stated import degrees, metres
from projects.geometry.station_beside import elsewhere_text
from projects.geometry.station_format import StationFormat


@dataclass(frozen=True)
class _Site:
    alignments: Mapping[str, Alignment]
    epsg: int | None
    station_format: StationFormat


def convert(
    rows: Sequence[Asked], *, alignments: Mapping[str, Alignment], epsg: int | None, station_format: StationFormat
) -> list[Converted]:
    """Each row in all three ways, in order. Raises ValueError for more than `MOST_ROWS`."""
    if len(rows) > MOST_ROWS:
        raise ValueError(f"At most {MOST_ROWS} rows are converted at once; these are {len(rows)}.")
    site = _Site(alignments, epsg, station_format)
    answers: dict[int, Converted] = {}
    planned: list[tuple[int, Asked]] = []
    on_globe: list[tuple[int, Asked]] = []
    for number, row in enumerate(rows):
        if row.problem:
            answers[number] = Converted(number + 1, row.label, REFUSED, row.problem)
        elif row.latitude_deg is not None and row.longitude_deg is not None:
            on_globe.append((number, row))
        elif row.easting_m is not None and row.northing_m is not None:
            planned.append((number, row))
        elif row.station:
            answers[number] = _from_station(number, row, site)
        else:
            answers[number] = Converted(number + 1, row.label, REFUSED, "The row says no place.")
    planned += _from_globe(on_globe, site, answers)
    _from_plane(planned, site, answers)
    return _with_degrees([answers[number] for number in range(len(rows))], rows, epsg)


def _from_station(number: int, row: Asked, site: _Site) -> Converted:
    place = in_plan(row, alignments=site.alignments, station_format=site.station_format)
    told = Converted(number + 1, row.label, PLACED, alignment=place.alignment)
    sentence = " ".join(text for _, _, text, _ in place.findings)
    if place.easting_m is None or place.line is None or place.station_m is None or place.findings:
        asked = "?" in sentence
        return replace(told, state=QUESTION if asked else REFUSED, sentence=sentence)
    return replace(
        _stationed(told, place.line, site, station_m=place.station_m, offset_m=place.offset_m or Decimal(0)),
        easting_m=place.easting_m,
        northing_m=place.northing_m,
    )


def _stationed(told: Converted, line: Alignment, site: _Site, *, station_m: Decimal, offset_m: Decimal) -> Converted:
    step = Decimal("0.0001")
    return replace(
        told,
        unit=line.unit.code,
        station=line.unit.from_metres(station_m).quantize(step) + 0,
        station_text=station_text(line, station_m, site.station_format),
        offset=line.unit.from_metres(offset_m).quantize(step) + 0,
        offset_text=offset_text(line, offset_m),
    )


def station_text(line: Alignment, station_m: Decimal, station_format: StationFormat) -> str:
    """What the plans print at an internal station (m); both stations right at an equation."""
    internal = line.unit.from_metres(station_m)
    at_equation = [
        (zone, following)
        for zone, following in zip(line.stationing.zones, line.stationing.zones[1:], strict=False)
        if abs(following.internal_from - internal) <= Decimal("0.005") and following.kilometre is None
    ]
    if at_equation:
        zone, following = at_equation[0]
        back = station_format.text(zone.label(following.internal_from))
        return f"{back} BK = {station_format.text(following.label_from)} AH"
    return line.stationing.text(internal, station_format)


def _from_globe(rows: list[tuple[int, Asked]], site: _Site, answers: dict[int, Converted]) -> list[tuple[int, Asked]]:
    if not rows:
        return []
    if not site.epsg:
        for number, row in rows:
            answers[number] = Converted(
                number + 1, row.label, REFUSED,
                "The project has no coordinate system, so latitude and longitude have no place on it. Enter its code.",
            )  # fmt: skip
        return []
    eastings, northings = crs_many.to_eastings_northings(
        site.epsg,
        longitudes_deg=np.asarray([float(row.longitude_deg or 0) for _, row in rows]),
        latitudes_deg=np.asarray([float(row.latitude_deg or 0) for _, row in rows]),
    )
    found = []
    for (number, row), easting, northing in zip(rows, eastings, northings, strict=True):
        if np.isnan(easting) or np.isnan(northing):
            sentence = (
                f"Latitude {row.latitude_deg}, longitude {row.longitude_deg} lies outside the area of "
                f"{crs.grid(site.epsg).name}. Check signs and order."
            )
            answers[number] = Converted(number + 1, row.label, REFUSED, sentence)
        else:
            found.append((number, replace(row, easting_m=metres(easting), northing_m=metres(northing))))
    return found


def _from_plane(rows: list[tuple[int, Asked]], site: _Site, answers: dict[int, Converted]) -> None:
    by_line: dict[str, list[tuple[int, Asked]]] = {}
    for number, row in rows:
        by_line.setdefault(row.alignment, []).append((number, row))
    for code, members in by_line.items():
        lines = {code: site.alignments[code]} if code in site.alignments else {} if code else dict(site.alignments)
        eastings = np.asarray([float(row.easting_m or 0) for _, row in members])
        northings = np.asarray([float(row.northing_m or 0) for _, row in members])
        nearest = nearest_lines(lines, eastings, northings)
        for place, (number, row) in enumerate(members):
            told = Converted(
                number + 1, row.label, PLACED, alignment=code, easting_m=row.easting_m, northing_m=row.northing_m
            )
            if code and not lines:
                known = ", ".join(site.alignments) or "none"
                answers[number] = replace(
                    told, state=REFUSED, sentence=f"There is no alignment {code}. Known: {known}."
                )
            elif nearest is None:
                answers[number] = replace(told, state=NO_STATION, sentence="The project has no alignment yet.")
            else:
                at = float(eastings[place]), float(northings[place])
                answers[number] = _tell(told, nearest, place, site, at)


def _tell(told: Converted, nearest: NearestLines, place: int, site: _Site, at: tuple[float, float]) -> Converted:
    number = int(nearest.owner[place])
    line = nearest.lines[number]
    told = replace(told, alignment=nearest.codes[number])
    if nearest.special[place]:
        return _special(told, dict(zip(nearest.codes, nearest.lines, strict=True)), site, *at)
    station_m, offset_m = metres(nearest.station_m[place]), metres(nearest.offset_m[place])
    return _stationed(told, line, site, station_m=station_m, offset_m=offset_m)


def _special(
    told: Converted, lines: Mapping[str, Alignment], site: _Site, easting: float, northing: float
) -> Converted:
    """A point with several places, none, or one at a corner or end: looked at by itself."""
    choice = choose(on_lines(lines, easting_m=easting, northing_m=northing))
    if choice.chosen is None:
        if not choice.plausible:
            return replace(told, state=NO_STATION, sentence="No line is near this point.")
        candidates = tuple(_candidate(one, site) for one in choice.plausible)
        codes = list(dict.fromkeys(one.alignment for one in candidates))
        meant = " or ".join(
            f"{one.alignment + ' ' if len(codes) > 1 else ''}{one.station_text}, {one.offset_text}"
            for one in candidates
        )
        sentence = f"{len(candidates)} places on {' and '.join(codes)} are about equally near. Is {meant} meant?"
        told = replace(told, alignment=codes[0] if len(codes) == 1 else "")
        return replace(told, state=QUESTION, sentence=sentence, candidates=candidates)
    line, foot = choice.chosen.line, choice.chosen.foot
    told = replace(told, alignment=choice.chosen.code)
    found = Projection(foot, foot.state, REASONS[foot.state])
    station, offset = metres(found.station_m), metres(found.offset_m)
    if found.state == ON:
        return _stationed(told, line, site, station_m=station, offset_m=offset)
    sentence = found.reason
    if found.state in (BEYOND_START, BEYOND_END):
        symbol, unit = line.unit.symbol, float(line.unit.metres)
        where = "before the start" if found.state == BEYOND_START else "behind the end"
        sentence = (
            f"The point lies {found.foot.beyond_m / unit:.2f} {symbol} {where} of {told.alignment}, so it has no "
            f"station. Carried on straight it would be {station_text(line, station, site.station_format)}, "
            f"{offset_text(line, offset)}."
        )
    return replace(told, state=NO_STATION, sentence=sentence + elsewhere_text(choice, site.station_format))


def _candidate(one: OnLine, site: _Site) -> Candidate:
    return Candidate(
        one.code,
        station_text(one.line, metres(one.foot.station_m), site.station_format),
        offset_text(one.line, metres(one.foot.offset_m)),
        metres(one.foot.distance_m),
    )


def _with_degrees(told: list[Converted], rows: Sequence[Asked], epsg: int | None) -> list[Converted]:
    """Latitude and longitude of whatever has a place on the grid; those that were given stay as given."""
    have = [number for number, one in enumerate(told) if one.easting_m is not None and one.northing_m is not None]
    if not epsg or not have:
        return told
    longitudes, latitudes = crs_many.to_longitudes_latitudes(
        epsg,
        eastings_m=np.asarray([float(told[number].easting_m or 0) for number in have]),
        northings_m=np.asarray([float(told[number].northing_m or 0) for number in have]),
    )
    for number, longitude, latitude in zip(have, longitudes, latitudes, strict=True):
        if rows[number].latitude_deg is not None:
            told[number] = replace(
                told[number], latitude=rows[number].latitude_deg, longitude=rows[number].longitude_deg
            )
        elif np.isnan(longitude):
            more = f"The coordinates lie outside the area of {crs.grid(epsg).name}: swapped, or another unit?"
            told[number] = replace(told[number], sentence=f"{told[number].sentence} {more}".strip())
        else:
            told[number] = replace(told[number], longitude=degrees(longitude), latitude=degrees(latitude))
    return told


__all__ = ["Asked", "Converted", "convert", "station_text"]
