"""An alignment told in rows: elements, junctions, equations, profile, and what a surveyor would ask about.

Plain values for pages and the API. Lengths and stations are in the alignment's unit, coordinates on the grid in
its own unit, angles in degrees; azimuths clockwise from grid north.
"""

import math
from decimal import Decimal
from itertools import pairwise

import numpy as np

from projects.geometry.alignment import Alignment
from projects.geometry.alignment_rows import AlignmentReport, ElementRow, EquationRow, JunctionRow, Remark
from projects.geometry.elements import Element
from projects.geometry.foot_limits import foot_limits_words
from projects.geometry.plan_elements import ElementTable
from projects.geometry.profile_report import profile_remarks, profile_rows
from projects.geometry.station_format import StationFormat

# Below this, in the alignment's unit, a missed end is the rounding of plan coordinates.
_ROUNDING = 0.002
_WARNING = 0.02
_ERROR = 0.5


def report(alignment: Alignment, station_format: StationFormat) -> AlignmentReport:
    """The report on an alignment; stations are printed in the project's format."""
    teller = _Teller(alignment, station_format)
    elements = tuple(teller.element(number) for number in range(len(alignment.elements)))
    junctions = tuple(teller.junction(number) for number in range(len(alignment.junctions)))
    stationing = alignment.stationing
    profile = alignment.profile
    return AlignmentReport(
        kind={"Baseline": "baseline", "PiTable": "pi_table"}.get(type(alignment.plan).__name__, "elements"),
        unit=alignment.unit.code,
        unit_name=alignment.unit.name,
        coordinate_unit=alignment.coordinate_unit.code,
        coordinate_unit_name=alignment.coordinate_unit.name,
        start_station=_four(stationing.start),
        end_station=_four(stationing.end),
        text_start=stationing.text(stationing.start, station_format),
        text_end=stationing.text(stationing.end, station_format),
        length=_four(stationing.end - stationing.start),
        scale="" if alignment.scale is None else alignment.scale.words,
        source=alignment.source,
        elements=elements,
        junctions=junctions,
        equations=_equations(alignment, station_format),
        profile_surface="" if profile is None else profile.surface,
        profile=() if profile is None else profile_rows(alignment, profile, station_format),
        remarks=(
            *_remarks(alignment, elements, junctions),
            *(() if profile is None else profile_remarks(alignment, profile, station_format)),
        ),
        feet=foot_limits_words(alignment.foot_limits, alignment.unit),
    )


def _four(value: Decimal | float) -> Decimal:
    exact = value if isinstance(value, Decimal) else Decimal(repr(value))
    return exact.quantize(Decimal("0.0001")) + 0


def _six(value: float) -> Decimal:
    return Decimal(repr(value)).quantize(Decimal("0.000001")) + 0


class _Teller:
    def __init__(self, alignment: Alignment, station_format: StationFormat) -> None:
        self.line, self.format = alignment, station_format
        self.metres = float(alignment.unit.metres)
        self.stated_ends = [None] * len(alignment.elements)
        if isinstance(alignment.plan, ElementTable):
            self.stated_ends = [entry.end for entry in alignment.plan.entries]  # type: ignore[misc]

    def _station(self, number: int) -> Decimal:
        line = self.line
        if number == len(line.elements):
            return line.stationing.end
        along = float(line.element_starts_m[number]) / self.metres
        return line.start_station + Decimal(repr(round(along, 6)))

    def _grid(self, at: tuple[float, float]) -> tuple[float, float]:
        easting, northing = self.line.to_grid(np.asarray(at[0]), np.asarray(at[1]))
        unit = float(self.line.coordinate_unit.metres)
        return float(easting) / unit, float(northing) / unit

    def element(self, number: int) -> ElementRow:
        element = self.line.elements[number]
        station_from, station_to = self._station(number), self._station(number + 1)
        text = self.line.stationing.text
        start, end = self._grid((element.easting_m, element.northing_m)), self._grid(element.end)
        return ElementRow(
            number=number + 1,
            kind=element.kind,
            station_from=_four(station_from),
            station_to=_four(station_to),
            text_from=text(station_from, self.format),
            text_to=text(station_to, self.format),
            length=_four(element.length_m / self.metres),
            radius_start=self._radius(element.k0),
            radius_end=self._radius(element.k1),
            parameter=self._parameter(element),
            turn="" if element.kind == "line" else "left" if element.k0 + element.k1 > 0 else "right",
            turn_deg=_six(math.degrees(element.turn_rad)),
            azimuth_start_deg=_azimuth(element.direction_rad),
            azimuth_end_deg=_azimuth(element.end_direction_rad),
            chord=_four(math.dist((element.easting_m, element.northing_m), element.end) / self.metres),
            easting_start=_four(start[0]),
            northing_start=_four(start[1]),
            easting_end=_four(end[0]),
            northing_end=_four(end[1]),
            misclosure=self._misclosure(number, end),
        )

    def _radius(self, k: float) -> Decimal | None:
        return None if k == 0.0 else _four(abs(1.0 / k) / self.metres)

    def _parameter(self, element: Element) -> Decimal | None:
        if element.kind != "clothoid":
            return None
        return _four(math.sqrt(element.length_m / abs(element.k1 - element.k0)) / self.metres)

    def _misclosure(self, number: int, end: tuple[float, float]) -> Decimal | None:
        stated = self.stated_ends[number]
        if stated is None:
            return None
        written = (float(stated[0]), float(stated[1]))
        if self.line.scale is not None:
            unit = self.line.coordinate_unit.metres
            own = self.line.scale.of_definition(written[0] * float(unit), written[1] * float(unit))
            written = self._grid(own)
        return _four(math.dist(end, written))

    def junction(self, number: int) -> JunctionRow:
        joint = self.line.junctions[number]
        before, after = self.line.elements[number], self.line.elements[number + 1]
        station = self._station(number + 1)
        where = self.line.stationing.text(station, self.format)
        gap, kink = _four(joint.gap_m / self.metres), _six(math.degrees(joint.kink_rad))
        parts, symbol = [], self.line.unit.symbol
        if joint.is_gap:
            parts.append(f"the elements do not meet, there is a gap of {gap:f} {symbol}")
        if joint.is_kink:
            side = "left" if joint.kink_rad > 0 else "right"
            parts.append(
                f"the line turns a corner of {abs(kink):.4f}° to the {side}; a point outside it has no station of its "
                "own, one inside it may have two"
            )
        jump = self._jump(before.k1, after.k0) if "clothoid" in (before.kind, after.kind) else ""
        if jump:
            parts.append(jump)
        state = " and ".join(word for word, there in (("gap", joint.is_gap), ("kink", joint.is_kink)) if there)
        sentence = f"At {where}, between elements {number + 1} and {number + 2}: {'; '.join(parts)}." if parts else ""
        return JunctionRow(number + 1, _four(station), where, gap, kink, state or "smooth", sentence)

    def _jump(self, k_before: float, k_after: float) -> str:
        """A transition that does not end on the radius of its neighbour."""
        if math.isclose(k_before, k_after, rel_tol=1e-3, abs_tol=1e-7):
            return ""
        radii = [
            ("straight" if r is None else f"radius {r:f}") for r in (self._radius(k_before), self._radius(k_after))
        ]
        return f"the transition meets {radii[1]} while it ends at {radii[0]}, so the curvature jumps"


def _azimuth(direction_rad: float) -> Decimal:
    return _six(math.degrees(math.pi / 2.0 - direction_rad) % 360.0)


def _equations(alignment: Alignment, station_format: StationFormat) -> tuple[EquationRow, ...]:
    rows = []
    zones = alignment.stationing.zones
    for number, (before, after) in enumerate(pairwise(zones), start=1):
        back, ahead = before.label(after.internal_from), after.label_from
        if after.kilometre is not None:
            kind, sentence = "kilometre", f"Kilometre {after.kilometre} begins; the one before ends at {back:.3f}."
        elif after.sign < 0:
            kind, sentence = "decreasing", "Stations run backwards from here."
        elif before.sign < 0:
            kind, sentence = "increasing", "Stations run forwards again from here."
        elif ahead > back:
            kind, sentence = "gap", f"{ahead - back:f} of stations are left out: a station between them does not exist."
        elif ahead < back:
            kind, sentence = (
                "overlap",
                f"{back - ahead:f} of stations occur twice: say which zone, (1) or (2), is meant.",
            )
        else:
            kind, sentence = "continues", "Back and ahead are the same: it changes nothing."
        if after.kilometre is None:
            texts = station_format.text(back), station_format.text(ahead)
        else:
            [ends] = [
                label
                for label in alignment.stationing.internal_to_display(after.internal_from)
                if label.zone == before.number
            ]
            texts = (
                station_format.text(back)
                if ends.kilometre is None
                else station_format.kilometre_text(kilometre=ends.kilometre, metres=ends.station),
                station_format.kilometre_text(kilometre=after.kilometre, metres=ahead),
            )
        rows.append(EquationRow(number, _four(after.internal_from), *texts, kind, sentence))
    return tuple(rows)


def _remarks(
    alignment: Alignment, elements: tuple[ElementRow, ...], junctions: tuple[JunctionRow, ...]
) -> list[Remark]:
    found: list[Remark] = []
    symbol = alignment.coordinate_unit.symbol
    for row in elements:
        missed = row.misclosure
        if missed is not None and missed > _ROUNDING:
            severity = "error" if missed > _ERROR else "warning" if missed > _WARNING else "information"
            sentence = (
                f"Element {row.number} ({row.kind}) ends {missed:f} {symbol} from the end point that is given for it."
            )
            found.append(("element-does-not-close", severity, sentence))
    for joint in junctions:
        if joint.sentence:
            severe = joint.state.startswith("gap") and joint.gap > _ERROR
            plain_corner = joint.state == "kink" and all(
                alignment.elements[number].kind == "line" for number in (joint.number - 1, joint.number)
            )
            severity = "error" if severe else "information" if plain_corner or joint.state == "smooth" else "warning"
            found.append((f"junction-{joint.state.replace(' ', '-')}", severity, joint.sentence))
    return found


__all__ = ["AlignmentReport", "report"]
