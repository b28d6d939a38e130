"""The fill of a group: its grounds, a digest that names it, the height of its top at a place."""

from collections.abc import Iterable
from decimal import Decimal

from compaction.coverage.facts import Placed
from compaction.coverage.ground import TOUCHING_M, Ground, lay_together, rectangle
from compaction.coverage.outlines import inside
from projects import canonical


def basis_digest(placed: Iterable[Placed]) -> str:
    """Names the fill that a draw was made on: where it lies and how high, not what was remarked beside."""
    return canonical.digest(
        {
            "placements": sorted(
                [
                    one.uuid,
                    one.alignment,
                    *(f"{value:.4f}" for value in (one.station_from_m, one.station_to_m)),
                    *(f"{value:.4f}" for value in (one.offset_from_m, one.offset_to_m)),
                    " ".join(f"{first:.4f},{second:.4f}" for first, second in one.outline if not one.alignment),
                ]
                for one in placed
            )
        }
    )


def grounds_of(placed: Iterable[Placed]) -> tuple[Ground, ...]:
    """The fill of a group, one ground for each alignment and one for what is given by corners."""
    outlines: dict[str, list[tuple[tuple[float, float], ...]]] = {}
    for one in placed:
        if one.alignment:
            corners = rectangle(one.station_from_m, one.station_to_m, one.offset_from_m, one.offset_to_m)
            outlines.setdefault(one.alignment, []).append(corners)
        elif one.outline:
            outlines.setdefault("", []).append(one.outline)
    return tuple(lay_together(found, alignment=code) for code, found in sorted(outlines.items()))


def elevation_at(placed: Iterable[Placed], *, alignment: str, station_m: float, offset_m: float) -> Decimal | None:
    """The top of the newest placement there that states one: the height of the finished lift."""
    for one in sorted(placed, key=lambda one: (one.placed_at, one.uuid), reverse=True):
        if one.elevation_top_m is None or one.alignment != alignment:
            continue
        if alignment:
            along = one.station_from_m - TOUCHING_M <= station_m <= one.station_to_m + TOUCHING_M
            there = along and one.offset_from_m - TOUCHING_M <= offset_m <= one.offset_to_m + TOUCHING_M
        else:
            there = inside(one.outline, (station_m, offset_m))
        if there:
            return one.elevation_top_m
    return None
