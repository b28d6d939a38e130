"""Station equations and design profiles of a LandXML alignment, as rows of stored content.

`station` of a profile and `staInternal` of an equation count along the line from `staStart`, without equations.
"""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from projects.geometry.landxml.numbers import number, optional_number
from projects.geometry.landxml.plan_reading import Remark
from projects.geometry.landxml.safe_xml import LandXmlError, Node
from projects.geometry.plain_content import plain_decimal
from projects.geometry.stationing import BACK_TOLERANCE


@dataclass
class EquationReading:
    """Rows for the stored equations, and remarks."""

    rows: list[dict[str, Any]] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)


def read_equations(alignment: Node, *, start: Decimal) -> EquationReading:
    """The StaEquation elements in order. Raises `LandXmlError` for one without a place."""
    reading = EquationReading()
    nodes = list(alignment.all("StaEquation"))
    internal = [optional_number(node, "staInternal", f"Station equation {n}") for n, node in enumerate(nodes, start=1)]
    ahead = [optional_number(node, "staAhead", f"Station equation {n}") for n, node in enumerate(nodes, start=1)]
    if nodes and internal == ahead and None not in ahead:
        reading.remarks.append(
            (
                "equations-are-labels",
                "warning",
                f"The {len(nodes)} station equations repeat the internal station as the station ahead, so they mark "
                "places and change no numbering (kilometre posts are written so). They are left out; enter unequal "
                "kilometres by hand.",
            )
        )
        return reading
    place, label, sign = start, start, 1
    for n, node in enumerate(nodes):
        where = f"Station equation {n + 1}"
        back = optional_number(node, "staBack", where)
        if ahead[n] is None:
            raise LandXmlError(f"{where} has no staAhead.")
        here = internal[n]
        if here is None:
            if back is None:
                raise LandXmlError(f"{where} says neither staInternal nor staBack, so its place is not known.")
            here = place + sign * (back - label)
        reached = label + sign * (here - place)
        if back is not None and abs(back - reached) > BACK_TOLERANCE:
            raise LandXmlError(
                f"{where}: staBack is {plain_decimal(back)}, but at the internal station {plain_decimal(here)} the "
                f"stations reach {plain_decimal(reached)}."
            )
        if back is None:
            reading.remarks.append(
                (
                    "equation-without-back",
                    "information",
                    f"{where} has no staBack; {plain_decimal(reached)} follows from its place.",
                )
            )
        decreasing = node.get("staIncrement").casefold() == "decreasing"
        row = {"internal": plain_decimal(here), "ahead": plain_decimal(ahead[n] or Decimal(0))}
        if back is not None:
            row["back"] = plain_decimal(back)
        reading.rows.append({**row, "direction": "decreasing" if decreasing else "increasing"})
        place, label, sign = here, ahead[n] or Decimal(0), -1 if decreasing else 1
    return reading


def design_profiles(alignment: Node) -> dict[str, Node]:
    """The design profiles by name; profiles without a name are numbered."""
    found: dict[str, Node] = {}
    for profile in alignment.all("Profile"):
        for design in profile.all("ProfAlign"):
            name = (design.get("name") or profile.get("name") or f"profile {len(found) + 1}")[:80]
            found[name if name not in found else f"{name} ({len(found) + 1})"] = design
    return found


def read_profile(design: Node) -> list[dict[str, Any]]:
    """Points of a ProfAlign: PVI, ParaCurve, UnsymParaCurve, CircCurve. Raises `LandXmlError`."""
    points: list[dict[str, Any]] = []
    for node in design.children:
        if node.name not in ("PVI", "ParaCurve", "UnsymParaCurve", "CircCurve"):
            if node.name == "Feature":
                continue
            raise LandXmlError(f"The profile holds a “{node.name[:40]}”, which is not supported. Only PVIs, parabolas "
                               "and circular curves are.")  # fmt: skip
        where = f"Profile point {len(points) + 1}"
        parts = node.text.replace(",", " ").split()
        if len(parts) != 2:
            raise LandXmlError(f"{where}: “{node.text[:60]}” is not a station and an elevation.")
        row = {"station": plain_decimal(number(parts[0], where)), "elevation": plain_decimal(number(parts[1], where))}
        if node.name == "ParaCurve":
            row |= _positive(node, {"length": "curve_length"}, where)
        elif node.name == "UnsymParaCurve":
            row |= _positive(node, {"lengthIn": "length_before", "lengthOut": "length_after"}, where)
        elif node.name == "CircCurve":
            row |= _positive(node, {"radius": "radius"}, where, needed=True)
        points.append(row)
    if len(points) < 2:
        raise LandXmlError("The profile has fewer than two points.")
    return points


def _positive(node: Node, names: dict[str, str], where: str, *, needed: bool = False) -> dict[str, str]:
    values = {ours: optional_number(node, theirs, where) for theirs, ours in names.items()}
    if any(value is None for value in values.values()):
        raise LandXmlError(f"{where} ({node.name}) has no {' or '.join(names)}.")
    sized = {ours: abs(value) for ours, value in values.items() if value is not None}
    if all(value == 0 for value in sized.values()) and not needed:
        return {}  # a curve of no length is a corner
    if any(value == 0 for value in sized.values()):
        raise LandXmlError(f"{where} ({node.name}): {' and '.join(names)} must be greater than zero.")
    return {ours: plain_decimal(value) for ours, value in sized.items()}
