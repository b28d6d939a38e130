"""CoordGeom: lines, curves and clothoids as rows of an element table, each checked against its own figures.

Directions, deltas and chords that a file writes are not used: of the producers that could be examined only a
few follow the schema. Coordinates, radii, lengths and the turning sense are.
"""

import math
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from projects.geometry.elements import Element, ElementError
from projects.geometry.landxml.numbers import Pair, optional_number, point, radius
from projects.geometry.landxml.plan_reading import ERROR, ROUNDING, WARNING, ElementClosure, PlanReading
from projects.geometry.landxml.safe_xml import LandXmlError, Node
from projects.geometry.plain_content import plain_decimal

_SHORTEST = Decimal("0.0001")


def read_plan(geometry: Node, *, order: str, points: Mapping[str, Node]) -> PlanReading:
    """The elements of a CoordGeom. Raises `LandXmlError` naming the element that cannot be read."""
    reading = PlanReading()
    readers = {"Line": _line, "Curve": _curve, "Spiral": _spiral}
    number = 0
    for node in geometry.children:
        reader = readers.get(node.name)
        if reader is None:
            if node.name in ("IrregularLine", "Chain"):
                raise LandXmlError(
                    f"Element {number + 1} is a “{node.name}”, a chain of chords without a curve of its own. Stations "
                    "beside chords are not those of the curve, so it is not read. Export lines, curves and spirals."
                )
            reading.remarks.append(
                ("part-passed-over", "information", f"“{node.name[:40]}” among the elements is not geometry; not read.")
            )
            continue
        number += 1
        reader(reading, node, number, order, points)
    if not reading.rows:
        raise LandXmlError("The alignment has no elements: its CoordGeom holds no line, curve or spiral.")
    return reading


def _ends(node: Node, where: str, order: str, points: Mapping[str, Node]) -> tuple[Pair, Pair]:
    start = point(node.first("Start"), f"{where}, Start", order=order, points=points)
    end = point(node.first("End"), f"{where}, End", order=order, points=points)
    if start is None or end is None:
        raise LandXmlError(f"{where} has no {'Start' if start is None else 'End'} point.")
    return start, end


def _plain(pair: Pair) -> list[str]:
    return [plain_decimal(pair[0]), plain_decimal(pair[1])]


def _polar(start: Pair, end: Pair) -> tuple[float, float]:
    """Direction (from east, counter-clockwise) and distance."""
    east, north = float(end[0] - start[0]), float(end[1] - start[1])
    return math.atan2(north, east), math.hypot(east, north)


def _azimuth(direction: float) -> float:
    return (math.pi / 2.0 - direction) % (2.0 * math.pi)


def _turn(node: Node, where: str) -> str:
    turn = {"cw": "right", "ccw": "left"}.get(node.get("rot").casefold())
    if turn is None:
        raise LandXmlError(f"{where} does not say whether it turns clockwise: rot is “{node.get('rot')[:20]}”.")
    return turn


def _note(reading: PlanReading, closure: ElementClosure) -> None:
    reading.closures.append(closure)
    missed = closure.misclosure
    if missed is None or missed <= ROUNDING:
        return
    severity = "error" if missed > ERROR else "warning" if missed > WARNING else "information"
    reading.remarks.append(
        (
            "element-does-not-close",
            severity,
            f"Element {closure.number} ({closure.kind}): {closure.compared} differ by {missed:.4f}.",
        )
    )


def _line(reading: PlanReading, node: Node, number: int, order: str, points: Mapping[str, Node]) -> None:
    where = f"Element {number} (line)"
    start, end = _ends(node, where, order, points)
    direction, distance = _polar(start, end)
    stated = optional_number(node, "length", where)
    if Decimal(repr(distance)) < _SHORTEST:
        reading.remarks.append(("element-without-length", "information", f"{where} has no length and is left out."))
        return
    if node.get("dir"):
        reading.directions.append((node.get("dir"), _azimuth(direction)))
    missed = None if stated is None else abs(float(stated) - distance)
    _note(reading, ElementClosure(number, "line", stated, distance, missed, "stated length and end points"))
    reading.rows.append({"kind": "line", "start": _plain(start), "end": _plain(end)})
    reading.before = Element(float(start[0]), float(start[1]), direction, 0.0, 0.0, distance)


def _curve(reading: PlanReading, node: Node, number: int, order: str, points: Mapping[str, Node]) -> None:
    where = f"Element {number} (curve)"
    start, end = _ends(node, where, order, points)
    centre = point(node.first("Center"), f"{where}, Center", order=order, points=points)
    stated, stated_radius = optional_number(node, "length", where), radius(node, "radius", where)
    by_chords = node.get("crvType").casefold() == "chord"
    turn = _turn(node, where)
    sign = 1.0 if turn == "left" else -1.0
    row: dict[str, Any] = {"kind": "arc", "start": _plain(start), "end": _plain(end), "turn": turn}
    if centre is None:
        if stated_radius is None:
            raise LandXmlError(f"{where} has neither a Center point nor a radius.")
        large = stated is not None and not by_chords and float(stated) > math.pi * float(stated_radius)
        row |= {"radius": plain_decimal(stated_radius), **({"large": True} if large else {})}
        chord_direction, chord = _polar(start, end)
        half = math.asin(min(1.0, chord / (2.0 * float(stated_radius))))
        half = math.pi - half if large else half
        direction, sweep, r = chord_direction - sign * half, 2.0 * half, float(stated_radius)
    else:
        row["centre"] = _plain(centre)
        (from_angle, r), (to_angle, to_r) = _polar(centre, start), _polar(centre, end)
        if abs(r - to_r) > WARNING:
            raise LandXmlError(
                f"{where}: the centre is {r:.3f} from the start but {to_r:.3f} from the end. Are north and east "
                "exchanged in one of the points?"
            )
        direction, sweep = from_angle + sign * math.pi / 2.0, sign * (to_angle - from_angle) % (2.0 * math.pi)
    length = r * sweep
    if stated is not None and not by_chords and abs(float(stated) - length) > ERROR:
        other = r * (2.0 * math.pi - sweep)
        hint = ""
        if abs(float(stated) - other) <= WARNING:
            hint = f" Turning the other way it would be {other:.3f}: is rot “{node.get('rot')}” wrong?"
        raise LandXmlError(f"{where}: start, centre, end and rot give {length:.3f}, but length says {stated}.{hint}")
    if by_chords:
        reading.remarks.append(
            (
                "chord-definition",
                "information",
                f"{where} is by the chord definition; its length is taken from its points.",
            )
        )
    if node.get("dirStart"):
        reading.directions.append((node.get("dirStart"), _azimuth(direction)))
    missed = _missed(start, end, direction, sign, stated_radius, None if by_chords else stated, r, length)
    _note(reading, ElementClosure(number, "arc", stated, length, missed, "its radius and length, and the end point"))
    reading.rows.append(row)
    reading.before = Element(float(start[0]), float(start[1]), direction, sign / r, sign / r, max(length, 1e-9))


def _missed(
    start: Pair, end: Pair, direction: float, sign: float,
    stated_radius: Decimal | None, stated_length: Decimal | None, r: float, length: float,
) -> float | None:  # fmt: skip
    if stated_radius is None and stated_length is None:
        return None
    k = sign / float(stated_radius or Decimal(repr(r)))
    try:
        built = Element(float(start[0]), float(start[1]), direction, k, k, float(stated_length or length))
    except ElementError:
        return None
    return math.hypot(built.end[0] - float(end[0]), built.end[1] - float(end[1]))


def _spiral(reading: PlanReading, node: Node, number: int, order: str, points: Mapping[str, Node]) -> None:
    law = node.get("spiType") or "clothoid"
    if law.casefold() != "clothoid":
        raise LandXmlError(
            f"Element {number} is a spiral of the type “{law[:40]}”, which is not supported. Read as a clothoid it "
            "would miss its end by up to a metre, so it is not read. Only clothoids are."
        )
    where = f"Element {number} (spiral)"
    start, end = _ends(node, where, order, points)
    stated = optional_number(node, "length", where)
    if stated is None or stated <= 0:
        raise LandXmlError(f"{where} has no length.")
    from_radius, to_radius = radius(node, "radiusStart", where), radius(node, "radiusEnd", where)
    if from_radius is None and to_radius is None:
        raise LandXmlError(f"{where} has no radius at either end.")
    turn = _turn(node, where)
    sign = 1.0 if turn == "left" else -1.0
    k0, k1 = (0.0 if r is None else sign / float(r) for r in (from_radius, to_radius))
    # towards the PI: the tangent at the start, without trusting a written direction
    corner = point(node.first("PI"), f"{where}, PI", order=order, points=points)
    direction, compared = None, ""
    if corner is not None and _polar(start, corner)[1] > 1e-6:
        direction, compared = (
            _polar(start, corner)[0],
            "the tangent through its PI with radii and length, and the end point",
        )
        bend = math.remainder(_polar(corner, end)[0] - direction, 2.0 * math.pi)
        if abs(bend) > 1e-6 and bend * sign < 0:
            raise LandXmlError(f"{where}: rot says it turns {turn}, but start, PI and end turn the other way.")
    elif reading.before is not None:
        direction, compared = reading.before.end_direction_rad, "the tangent of the element before, and the end point"
    missed = None
    if direction is not None:
        try:
            built = Element(float(start[0]), float(start[1]), direction, k0, k1, float(stated))
        except ElementError as error:
            raise LandXmlError(f"{where}: {error}") from error
        missed = math.hypot(built.end[0] - float(end[0]), built.end[1] - float(end[1]))
        if node.get("dirStart"):
            reading.directions.append((node.get("dirStart"), _azimuth(direction)))
        reading.before = built
    _note(reading, ElementClosure(number, "clothoid", stated, float(stated), missed, compared))
    constant = optional_number(node, "constant", where)
    if constant and (from_radius is None) != (to_radius is None):
        parameter = math.sqrt(float(from_radius or to_radius or 0) * float(stated))
        if abs(parameter - abs(float(constant))) > WARNING:
            reading.remarks.append(
                (
                    "parameter-differs",
                    "warning",
                    f"{where}: A is written as {constant:.3f}, radius and length give {parameter:.3f}.",
                )
            )
    row: dict[str, Any] = {"kind": "spiral", "start": _plain(start), "end": _plain(end), "turn": turn}
    row["length"] = plain_decimal(stated)
    for name, r in (("radius_start", from_radius), ("radius_end", to_radius)):
        if r is not None:
            row[name] = plain_decimal(r)
    reading.rows.append(row)
