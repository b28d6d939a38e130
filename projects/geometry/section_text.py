"""Typical section and original ground as people type or paste them, one row a line, parts apart by | or ;.

50+00 | both 30 -2% 2:1 | pavement 0.5 | base course 0.75    station, sides, layers from the top
50+00 | L 30 +4% 2:1 | R 40 -6% 3:1                          left and right differ, no layers on top
50+00 | 100 L 1280.5 | 0 1286 | 60 R 1291.2                  ground: station, then offset and elevation
"""

import re
from decimal import Decimal
from typing import Any

from projects.geometry.plain_content import plain_decimal
from projects.geometry.table_text import TableTextError, lines_of, number_of, station_number

_SIDE = re.compile(
    r"(?P<side>L|LEFT|R|RIGHT|BOTH)\s+(?P<width>\S+)\s+(?P<slope>[-+]?[0-9.]+)\s*(?P<percent>%?)"
    r"(?:\s+(?P<run>[0-9.]+)\s*:\s*(?P<fall>[0-9.]+))?",
    re.IGNORECASE | re.ASCII,
)
_LAYER = re.compile(r"(?P<name>\S.*?)\s+(?P<thickness>[0-9.]+)", re.ASCII)
_GROUND = re.compile(r"(?P<offset>[-+]?[0-9.]+)\s*(?P<side>L|R|LT|RT)?\s+(?P<elevation>-?[0-9.]+)", re.I | re.ASCII)


def section_rows(text: str) -> list[dict[str, Any]]:
    """Rows of a typical section for `typical_section_from_plain`. Raises `TableTextError`.

    Cross slopes are percent away from the line (-2% falls), side slopes run : fall. Layers hold from their row on to
    the next; a row without any has none.
    """
    return [_section_row(number, line) for number, line in lines_of(text)]


def _section_row(number: int, line: str) -> dict[str, Any]:
    station, *parts = (part.strip() for part in re.split(r"[|;]", line))
    row: dict[str, Any] = {"station": _station(station, number, line)}
    layers: list[dict[str, str]] = []
    for part in filter(None, parts):
        side = _SIDE.fullmatch(part)
        if side is not None:
            content = _side(side, number, line)
            named = {"L": ("left",), "R": ("right",), "B": ("left", "right")}[side["side"][0].upper()]
            if any(name in row for name in named):
                raise TableTextError(f"Line {number}, “{line[:60]}”: a side stands there twice.")
            row |= dict.fromkeys(named, content)
            continue
        layer = _LAYER.fullmatch(part)
        if layer is None or re.match(r"(L|R|LEFT|RIGHT|BOTH)\s+[-+0-9.]", part, re.IGNORECASE):
            raise TableTextError(
                f"Line {number}, “{line[:60]}”: “{part[:30]}” is neither a side (both 30 -2% 2:1) nor a layer with its "
                "thickness (pavement 0.5)."
            )
        layers.append({"name": layer["name"], "thickness": number_of(layer["thickness"], number, line)})
    for name in ("left", "right"):
        if name not in row:
            raise TableTextError(f"Line {number}, “{line[:60]}”: the {name} side is missing. Write both, or L and R.")
    return {**row, "layers": layers}


def _side(match: re.Match[str], number: int, line: str) -> dict[str, Any]:
    if not match["percent"]:
        raise TableTextError(f"Line {number}, “{line[:60]}”: is {match['slope']} percent? Write {match['slope']}%.")
    slope = number_of(match["slope"].lstrip("+"), number, line)
    side: dict[str, Any] = {
        "width": number_of(match["width"], number, line),
        "cross_slope": _quotient(slope, "100"),
        "side_slope": None,
    }
    if match["run"]:
        fall = number_of(match["fall"], number, line)
        if not any(figure in fall for figure in "123456789"):
            raise TableTextError(f"Line {number}, “{line[:60]}”: a side slope falls by more than zero, such as 2:1.")
        side["side_slope"] = _quotient(number_of(match["run"], number, line), fall)
    return side


def _quotient(over: str, under: str) -> str:
    return plain_decimal((Decimal(over) / Decimal(under)).quantize(Decimal("0.000001")))


def ground_rows(text: str) -> list[dict[str, Any]]:
    """Cross lines for `ground_from_plain`; offsets with L or R, or with minus for left. Raises `TableTextError`."""
    rows = []
    for number, line in lines_of(text):
        station, *parts = (part.strip() for part in re.split(r"[|;]", line))
        points: list[dict[str, str]] = []
        for part in filter(None, parts):
            match = _GROUND.fullmatch(part)
            if match is None:
                raise TableTextError(
                    f"Line {number}, “{line[:60]}”: “{part[:30]}” is no offset with its elevation, such as 60 R 1291.2."
                )
            offset = number_of(match["offset"].lstrip("+"), number, line)
            if match["side"] and offset.startswith("-"):
                raise TableTextError(f"Line {number}, “{line[:60]}”: minus and a letter together; minus means left.")
            if (match["side"] or "").upper().startswith("L") and offset != "0":
                offset = f"-{offset}"
            points.append({"offset": offset, "elevation": number_of(match["elevation"], number, line)})
        rows.append({"station": _station(station, number, line), "points": points})
    return rows


def _station(text: str, number: int, line: str) -> str:
    try:
        return station_number(text)
    except TableTextError as error:
        raise TableTextError(f"Line {number}, “{line[:60]}”: {error}") from error
