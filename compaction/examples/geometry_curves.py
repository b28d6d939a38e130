"""Circular curves and spirals; and the comparison that every topic of geometry uses."""

import math
from decimal import Decimal
from typing import Any

from compaction.calculations.quantities import to_si
from compaction.calculations.sheet_check import check_figure, printed_figure
from compaction.examples.check import Check
from compaction.examples.figures import BrokenExample, degrees
from compaction.examples.topic import Example, Topic
from projects.geometry.alignment import Alignment
from projects.geometry.curves import CircularCurve, FullSpiral, SpiralCurve, radius_from_degree
from projects.geometry.elements import Element
from projects.geometry.plan_points import PiTable, PointOfIntersection


def of_the_name(name: str) -> str:
    """The unit at the end of a name of geometry: "tangent_ft" is in feet."""
    return name.rpartition("_")[2]


def expected(example: Example, check: Check, worked: dict[str, float]) -> None:
    """Hold every number under `printed` and `recomputed` against what was worked, by the tolerance of its unit."""
    tolerance = example["tolerance"]
    for part in ("printed", "recomputed"):
        for name, number in example.get(part, {}).items():
            unit = of_the_name(name)
            if name not in worked:
                raise BrokenExample(f"{part}.{name}", "is not worked out.", f"Use one of {', '.join(worked)}.")
            shown = name if part == "printed" else f"{name}, recomputed"
            check.number(shown, degrees(number, name), worked[name], within=tolerance[unit], unit=unit)


def misprints(example: Example, check: Check, worked_si: dict[str, Decimal]) -> None:
    """Figures that the source prints wrong, each against what was worked: a finding has to come."""
    for name, text in example.get("misprints", {}).items():
        check.found(check_figure(printed_figure(name, text), worked_si[name]))
        check.figure(name, text, worked_si[name], otherwise=check.where_print_differs)


def run_curves(example: Example, check: Check) -> None:
    """One element: its parts, or a table along it."""
    kinds = {
        "circular_curve": _circular,
        "degree_of_curve": _definitions,
        "spiral_curve": _spirals,
        "double_spiral": _double_spiral,
        "clothoid": _clothoid,
    }
    if example["element"] not in kinds:
        raise BrokenExample("element", f"{example['element']!r} is not known.", f"Use one of {', '.join(kinds)}.")
    kinds[example["element"]](example, check)


def _circular(example: Example, check: Check) -> None:
    radius = radius_from_degree(degree_deg=degrees(example["degree_of_curve_arc_dms"], "degree"), definition="arc")
    curve = CircularCurve(radius, math.radians(degrees(example["deflection_dms"], "deflection_dms")))
    worked = {"length_ft": curve.length, "tangent_ft": curve.tangent, "long_chord_ft": curve.long_chord}
    expected(example, check, worked)
    tolerance = example["tolerance"]
    for station, deflection_deg, chord_ft in example["rows"]:
        arc = station - example["pc_station_ft"]
        angle = math.degrees(curve.deflection_angle_rad(arc))
        check.number(f"deflection at {station}", deflection_deg, angle, within=tolerance["deg"], unit="deg")
        check.number(f"chord at {station}", chord_ft, curve.chord(arc), within=tolerance["ft"], unit="ft")
    exact = {"length": to_si(Decimal(repr(curve.length)), "ft"), "last_deflection_deg": Decimal(repr(angle))}
    misprints(example, check, exact)


def _definitions(example: Example, check: Check) -> None:
    for degree, by_arc, by_chord in example["rows"]:
        for definition, radius_ft in (("arc", by_arc), ("chord", by_chord)):
            found = radius_from_degree(degree_deg=float(degree), definition=definition)
            check.number(
                f"radius of {degree} deg by {definition}",
                radius_ft,
                found,
                within=example["tolerance"]["ft"],
                unit="ft",
            )


def _spirals(example: Example, check: Check) -> None:
    if "degree_of_curve_arc_deg" in example:
        radius = radius_from_degree(degree_deg=float(example["degree_of_curve_arc_deg"]), definition="arc")
    else:
        radius = float(example["radius_m"])
    lengths = _two(example, "spiral_length")
    first, second = FullSpiral(radius, lengths[0]), FullSpiral(radius, lengths[1])
    if "length_without_one_spiral_ft" in example:
        deflection = example["length_without_one_spiral_ft"] / radius + first.angle_rad + second.angle_rad
    else:
        deflection = math.radians(degrees(example["deflection_dms"], "deflection_dms"))
    curve = SpiralCurve(deflection, first, second)
    unit = "m" if "radius_m" in example else "ft"
    parts = {
        "spiral_angle_deg": math.degrees(first.angle_rad),
        f"tangent_extension_{unit}": first.tangent_extension,
        f"shift_{unit}": first.shift,
        f"long_chord_{unit}": first.long_chord,
        f"tangent_{unit}": curve.tangents[0],
        f"tangent_out_{unit}": curve.tangents[1],
        f"arc_length_{unit}": curve.arc_length,
    }
    worked = parts | _stations(example, curve, lengths) | _end(curve, radius, lengths, deflection)
    expected(example, check, worked)


def _two(example: Example, name: str) -> tuple[float, float]:
    for unit in ("ft", "m"):
        given = example.get(f"{name}_{unit}")
        if given is not None:
            return (given, given) if not isinstance(given, list) else (float(given[0]), float(given[1]))
    raise BrokenExample(f"{name}_ft", "is missing.", "Give the length of the spiral, or a list of the two lengths.")


def _stations(example: Example, curve: SpiralCurve, lengths: tuple[float, float]) -> dict[str, float]:
    if "pi_station_ft" in example:
        ts = example["pi_station_ft"] - curve.tangents[0]
    elif "ts_station_ft" in example:
        ts = example["ts_station_ft"]
    else:
        return {}
    sc = ts + lengths[0]
    cs = sc + curve.arc_length
    return {
        "ts_station_ft": ts,
        "pi_station_ft": ts + curve.tangents[0],
        "sc_station_ft": sc,
        "cs_station_ft": cs,
        "st_station_ft": cs + lengths[1],
    }


def _end(curve: SpiralCurve, radius: float, lengths: tuple[float, float], deflection: float) -> dict[str, float]:
    """Where the same curve ends as an alignment through three points, the back tangent along x and the PI at 0, 0."""

    def at(x: float, y: float, **parts: Any) -> PointOfIntersection:
        return PointOfIntersection((Decimal(f"{x:.9f}"), Decimal(f"{y:.9f}")), **parts)

    far = 2 * max(curve.tangents)
    plan = PiTable(
        (
            at(-far, 0.0),
            at(
                0.0,
                0.0,
                radius=Decimal(repr(radius)),
                spiral_in_length=Decimal(repr(lengths[0])),
                spiral_out_length=Decimal(repr(lengths[1])),
            ),
            at(far * math.cos(deflection), far * math.sin(deflection)),
        )
    )
    last = Alignment.build(plan).elements[-1]
    return {
        "end_x_m": last.easting_m,
        "end_y_m": last.northing_m,
        "end_direction_deg": math.degrees(last.direction_rad),
    }


def _double_spiral(example: Example, check: Check) -> None:
    """Two equal spirals that meet at the midpoint; all its lengths grow with the external distance that is given."""
    half = math.radians(degrees(example["deflection_dms"], "deflection_dms")) / 2
    scale = float(example["external_wanted_ft"]) / _double(half, 1.0)["external_ft"]
    expected(example, check, _double(half, scale))


def _double(half_rad: float, spiral_length: float) -> dict[str, float]:
    spiral = FullSpiral(spiral_length / (2 * half_rad), spiral_length)
    tangent = SpiralCurve(2 * half_rad, spiral, spiral).tangents[0]
    along, across = spiral.end_xy
    return {
        "length_ft": spiral_length,
        "tangent_ft": tangent,
        "external_ft": math.hypot(tangent - along, across),
    }


def _clothoid(example: Example, check: Check) -> None:
    element = Element(0.0, 0.0, 0.0, 0.0, 1.0 / example["radius_end_m"], float(example["length_m"]))
    for distance, *place in example["rows"]:
        for name, printed, found in zip("xy", place, element.point_at(float(distance)), strict=True):
            check.number(f"{name} at {distance} m", printed, found, within=example["tolerance"]["m"], unit="m")


CURVES = Topic(
    code="plan_curves",
    title="Circular curves and spirals",
    run=run_curves,
    needs=("element", "tolerance"),
    keys={
        "element": "`circular_curve`, `degree_of_curve`, `spiral_curve`, `double_spiral` or `clothoid`",
        "degree_of_curve_arc_dms": 'degree of curve by the arc definition, as "7d9m43.1s"',
        "degree_of_curve_arc_deg": "the same as a number",
        "radius_m": "radius, where no degree is given",
        "deflection_dms": 'angle between the tangents, as "45d49m45.0s" or a number of degrees',
        "pc_station_ft": "station where a circular curve begins",
        "pi_station_ft": "station of the point of intersection, or",
        "ts_station_ft": "station where the spiral begins",
        "spiral_length_ft": "length of both spirals, or a list of the two",
        "spiral_length_m": "the same in metres",
        "length_without_one_spiral_ft": "length of the arc, where the deflection is not printed",
        "external_wanted_ft": "external distance that a double spiral is to have",
        "radius_end_m": "radius at the end of a clothoid",
        "length_m": "length of a clothoid",
        "rows": "circular curve: station, deflection (degrees), chord; degree of curve: degree, radius by arc, chord; "
        "clothoid: distance, x, y",
        "misprints": "figures that the source prints wrong (`length`, `last_deflection_deg`), as text",
        "tolerance": "tolerance by unit, as { ft = 0.011, deg = 0.0004 }",
    },
    figures={
        "length_ft": "of a circular curve, or of one spiral of a double spiral",
        "tangent_ft": "length of the tangent (of a spiral curve: of the one before)",
        "tangent_m": "the same in metres",
        "tangent_out_ft": "tangent behind a spiral curve",
        "tangent_out_m": "the same in metres",
        "long_chord_ft": "long chord of the curve or the spiral",
        "long_chord_m": "the same in metres",
        "external_ft": "point of intersection to the middle of a double spiral",
        "spiral_angle_deg": "angle of the spiral",
        "tangent_extension_ft": "extension of the tangent by the spiral, k",
        "tangent_extension_m": "the same in metres",
        "shift_ft": "shift of the curve by the spiral, p",
        "shift_m": "the same in metres",
        "arc_length_ft": "arc between the spirals",
        "arc_length_m": "the same in metres",
        "ts_station_ft": "tangent to spiral",
        "pi_station_ft": "point of intersection",
        "sc_station_ft": "spiral to curve",
        "cs_station_ft": "curve to spiral",
        "st_station_ft": "spiral to tangent",
        "end_x_m": "end of the curve built as an alignment, back tangent along x, point of intersection at 0, 0",
        "end_y_m": "its other coordinate",
        "end_direction_deg": "its direction",
    },
)
