"""LandXML files of invented alignments, written in the manners of different producers."""

import math
from collections.abc import Callable

from projects.geometry.alignment import Alignment
from projects.geometry.elements import Element
from tests.geometry.lines import alignment, joined

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n<LandXML xmlns="{namespace}" version="{version}">'
LANDXML, FINNISH = "http://www.landxml.org/schema/LandXML-1.2", "http://www.example.invalid/inframodel"
NORTH_CW: Callable[[float], float] = lambda t: math.pi / 2 - t  # noqa: E731
NORTH_CCW: Callable[[float], float] = lambda t: t - math.pi / 2  # noqa: E731
EAST_CCW: Callable[[float], float] = lambda t: t  # noqa: E731


def winding(**options: object) -> Alignment:
    """Line, clothoid in, arc left, clothoid out, line, egg of two arcs to the right: metres, made up."""
    k1, k2, k3 = 1 / 300, -1 / 500, -1 / 200
    pieces = [
        (0.0, 0.0, 120.0), (0.0, k1, 90.0), (k1, k1, 140.0), (k1, 0.0, 60.0), (0.0, 0.0, 75.0),
        (0.0, k2, 50.0), (k2, k2, 80.0), (k2, k3, 40.0), (k3, k3, 70.0),
    ]  # fmt: skip
    return alignment(joined(pieces, start=(500_000.0, 4_400_000.0, 0.7)), **options)


def pair(at: tuple[float, float], *, digits: int, swapped: bool, height: bool = False) -> str:
    first, second = (at[0], at[1]) if swapped else (at[1], at[0])
    return f"{first:.{digits}f} {second:.{digits}f}{' 0.000' if height else ''}"


def written(
    line: Alignment,
    *,
    name: str = "CL",
    unit: str = "meter",
    imperial: bool = False,
    namespace: str = LANDXML,
    version: str = "1.2",
    digits: int = 6,
    swapped: bool = False,
    convention: Callable[[float], float] | None = NORTH_CW,
    direction_unit: str = "decimal degrees",
    heights: bool = False,
    start: str = "1000",
    inside: str = "",
    epsg: str = "",
    infinite: str = "INF",
    metres: float = 1.0,
) -> str:
    """The alignment as a file; what a producer leaves out or writes differently is an option."""
    per = {"decimal degrees": 180 / math.pi, "grads": 200 / math.pi}.get(direction_unit, 1.0)

    def element(item: Element) -> str:
        begin, end = (item.easting_m / metres, item.northing_m / metres), tuple(v / metres for v in item.end)
        points = {
            "Start": pair(begin, digits=digits, swapped=swapped, height=heights),
            "End": pair(end, digits=digits, swapped=swapped, height=heights),
        }
        rot = "ccw" if item.k0 + item.k1 > 0 else "cw"
        towards = "" if convention is None else f"{convention(item.direction_rad) * per % (2 * math.pi * per):.6f}"
        length = f"{item.length_m / metres:.{digits}f}"
        if item.kind == "line":
            tag, attributes = "Line", f'length="{length}"' + (f' dir="{towards}"' if towards else "")
        elif item.kind == "arc":
            centre = (
                begin[0] - math.sin(item.direction_rad) / item.k0 / metres,
                begin[1] + math.cos(item.direction_rad) / item.k0 / metres,
            )
            points = {
                "Start": points["Start"],
                "Center": pair(centre, digits=digits, swapped=swapped),
                "End": points["End"],
            }
            tag = "Curve"
            attributes = f'rot="{rot}" crvType="arc" radius="{abs(1 / item.k0) / metres:.{digits}f}" length="{length}"'
            attributes += f' dirStart="{towards}"' if towards else ""
        else:
            radii = [infinite if k == 0 else f"{abs(1 / k) / metres:.{digits}f}" for k in (item.k0, item.k1)]
            tag = "Spiral"
            attributes = (
                f'rot="{rot}" spiType="clothoid" length="{length}" radiusStart="{radii[0]}" radiusEnd="{radii[1]}"'
            )
            corner = tangents_meet(item, metres)
            points = {
                "Start": points["Start"],
                "PI": pair(corner, digits=digits, swapped=swapped),
                "End": points["End"],
            }
        return f"<{tag} {attributes}>" + "".join(f"<{k}>{v}</{k}>" for k, v in points.items()) + f"</{tag}>"

    kind = "Imperial" if imperial else "Metric"
    declared = f' directionUnit="{direction_unit}"' if direction_unit else ""
    units = f'<Units><{kind} linearUnit="{unit}" areaUnit="squareMeter"{declared}/></Units>' if unit else ""
    system = f'<CoordinateSystem name="made up" epsgCode="{epsg}"/>' if epsg else ""
    return (
        HEAD.format(namespace=namespace, version=version)
        + f'{units}{system}<Application name="Test writer" version="1"/><Surfaces><Surface name="ground"><Definition>'
        + "<Pnts>" + "".join(f'<P id="{n}">1 2 3</P>' for n in range(50)) + "</Pnts></Definition></Surface></Surfaces>"
        + f'<Alignments name="site"><Alignment name="{name}" length="{line.length_m / metres:.6f}" staStart="{start}">'
        + f"<CoordGeom>{''.join(map(element, line.elements))}</CoordGeom>{inside}</Alignment></Alignments></LandXML>"
    )  # fmt: skip


def tangents_meet(item: Element, metres: float) -> tuple[float, float]:
    """Where the tangents at both ends of an element meet."""
    (e0, n0), (e1, n1) = (item.easting_m, item.northing_m), item.end
    t0, t1 = item.direction_rad, item.end_direction_rad
    along = ((e1 - e0) * math.sin(t1) - (n1 - n0) * math.cos(t1)) / math.sin(t1 - t0)
    return (e0 + along * math.cos(t0)) / metres, (n0 + along * math.sin(t0)) / metres
