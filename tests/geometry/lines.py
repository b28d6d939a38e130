"""Alignments for tests: plans typed by hand, and runs of elements joined end to end."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from projects.geometry.alignment import Alignment
from projects.geometry.elements import Element
from projects.geometry.plan_points import Baseline, PiTable, PlanUnits, PointOfIntersection


@dataclass(frozen=True)
class Run:
    """A plan made of elements as they are; stands for what an import would bring."""

    made: tuple[Element, ...]

    def elements(self, units: PlanUnits) -> tuple[Element, ...]:
        return self.made

    def to_plain(self) -> dict[str, Any]:
        raise NotImplementedError


def joined(pieces: list[tuple[float, float, float]], *, start: tuple[float, float, float] = (0.0, 0.0, 0.0)) -> Run:
    """Elements of (k0, k1, length), each starting where the one before ends."""
    easting, northing, direction = start
    made: list[Element] = []
    for k0, k1, length in pieces:
        made.append(Element(easting, northing, direction, k0, k1, length))
        (easting, northing), direction = made[-1].end, made[-1].end_direction_rad
    return Run(tuple(made))


def alignment(plan: Run, **options: Any) -> Alignment:
    return Alignment.build(plan, **options)  # type: ignore[arg-type]


def point(easting: str, northing: str, **curve: str) -> PointOfIntersection:
    definition = curve.pop("degree_definition", "")
    return PointOfIntersection(
        (Decimal(easting), Decimal(northing)),
        degree_definition=definition,
        **{name: Decimal(value) for name, value in curve.items()},
    )


def corner() -> Alignment:
    points = (("0", "0"), ("100", "0"), ("100", "100"))
    return Alignment.build(Baseline(tuple((Decimal(e), Decimal(n)) for e, n in points)))


def road(**options: Any) -> Alignment:
    """Two curves with spirals, in feet: a plan sheet as a manager types it."""
    rows = (
        point("600000", "1400000"),
        point("601500", "1400400", degree_deg="4", degree_definition="arc", spiral_in_length="200",
              spiral_out_length="150"),
        point("603000", "1399600", radius="1200"),
        point("604500", "1399900"),
    )  # fmt: skip
    return Alignment.build(PiTable(rows), **{"unit": "ftUS", "start_station": Decimal(1000), **options})
