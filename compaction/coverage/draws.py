"""Random places, one in each cell: station = start + U1 x length, offset = left + U2 x width.

The principle is that of ASTM D3665 (from memory): the lot is parted into equal sublots, and each gets one place at
random, so that no part is left out and nobody chooses. U1 and U2 come from a generator that anybody can repeat with a
seed, a cell's number and SHA-256; they are kept with nine decimals, and the place is worked out from what is kept.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from hashlib import sha256
from itertools import pairwise
from math import ceil, floor
from typing import Final

from compaction.coverage.cells import Division
from compaction.coverage.facts import Cell
from compaction.coverage.ground import Ground, Slab, Span

#: U = first 52 bits of SHA-256("seed/cell/attempt/1 or 2") as a whole number, plus a half, over 2^52, to nine decimals
ALGORITHM: Final = "sha256-counter-1"
DECIMALS: Final = 9


class NoRoom(ValueError):
    """The margin leaves nothing of a cell."""


@dataclass(frozen=True)
class Place:
    """A random place in a cell. Metres; easting and northing instead of station and offset without an alignment."""

    cell: Cell
    attempt: int  # 0: as first drawn; each substitution counts one further
    u1: float
    u2: float
    station_m: float
    offset_m: float


def uniform(seed: str, *, cell: int, attempt: int, axis: int) -> float:
    """A number between 0 and 1 that follows from its arguments alone; axis 1 is along, 2 across.

    >>> uniform("7d9f", cell=1, attempt=0, axis=1) == uniform("7d9f", cell=1, attempt=0, axis=1)
    True
    """
    digest = sha256(f"{seed}/{cell}/{attempt}/{axis}".encode()).digest()
    bits = int.from_bytes(digest[:8], "big") >> 12
    return round((bits + 0.5) / 2**52, DECIMALS)


def draw(
    division: Division, *, seed: str, edge_margin_m: float, numbers: Iterable[int] | None = None, attempt: int = 0
) -> tuple[Place, ...]:
    """A place in each cell, or in those with the `numbers`. `edge_margin_m` is kept off the sides of the fill.

    Raises `NoRoom` where the margin leaves nothing of a cell.
    """
    chosen = None if numbers is None else set(numbers)
    return tuple(
        _place(division, cell, seed, edge_margin_m, attempt)
        for cell in division.cells
        if chosen is None or cell.number in chosen
    )


def _place(division: Division, cell: Cell, seed: str, margin_m: float, attempt: int) -> Place:
    ground = division.field_of(cell.number).ground
    stations, offsets = (cell.station_from_m, cell.station_to_m), (cell.offset_from_m, cell.offset_to_m)
    along, across = (offsets, stations) if ground.turned else (stations, offsets)
    slabs = within(ground, along=along, across=across, margin_m=margin_m)
    room = Ground(ground.alignment, slabs)
    if room.area_m2 <= 0:
        raise NoRoom(
            f"A margin of {margin_m:.2f} m at either side leaves nothing of cell {cell.number} "
            f"({cell.offset_to_m - cell.offset_from_m:.2f} m across); give a smaller one."
        )
    u1, u2 = (uniform(seed, cell=cell.number, attempt=attempt, axis=axis) for axis in (1, 2))
    on_the_way = room.along_at(u1 * room.area_m2)
    aside = _across(room, on_the_way, u2)
    place = (aside, on_the_way) if ground.turned else (on_the_way, aside)
    return Place(cell, attempt, u1, u2, _rounded(place[0], *stations), _rounded(place[1], *offsets))


def _rounded(value: float, low: float, high: float) -> float:
    """To 0.1 mm, but never over the line to the next cell."""
    found = round(value, 4)
    if found >= high > value:
        return floor(value * 10_000) / 10_000
    return ceil(value * 10_000) / 10_000 if found < low <= value else found


def _across(room: Ground, along: float, share: float) -> float:
    """The share of the width at a value along, over gaps if there are any."""
    slab = next(one for one in reversed(room.slabs) if one.along_from <= along)
    spans = slab.spans_at(min(along, slab.along_to))
    left = share * sum(high - low for low, high in spans)
    for low, high in spans:
        if left <= high - low:
            return low + left
        left -= high - low
    return spans[-1][1]


def within(
    ground: Ground, *, along: tuple[float, float], across: tuple[float, float], margin_m: float = 0.0
) -> tuple[Slab, ...]:
    """The part of the ground in a window, less a margin at the sides of the fill (not at the lines between cells)."""
    found = []
    for slab in ground.between(*along):
        narrowed = [
            Span(span.low_from + margin_m, span.low_to + margin_m, span.high_from - margin_m, span.high_to - margin_m)
            for span in slab.spans
        ]
        inner = Slab(slab.along_from, slab.along_to, tuple(narrowed))
        for start, end in pairwise(_bends(inner, across)):
            spans = [
                Span(max(low, across[0]), max(to, across[0]), min(high, across[1]), min(top, across[1]))
                for (low, high), (to, top) in zip(inner.spans_at(start), inner.spans_at(end), strict=True)
            ]
            kept = tuple(one for one in spans if one.high_from + one.high_to > one.low_from + one.low_to)
            if kept:
                found.append(Slab(start, end, kept))
    return tuple(found)


def _bends(slab: Slab, across: tuple[float, float]) -> list[float]:
    """Values along at which an edge meets the window or its opposite edge."""
    cuts = {slab.along_from, slab.along_to}
    for span in slab.spans:
        pairs = [(span.low_from - line, span.low_to - line) for line in across] + [
            (span.high_from - line, span.high_to - line) for line in across
        ]
        pairs.append((span.high_from - span.low_from, span.high_to - span.low_to))
        for before, after in pairs:
            if before * after < 0:
                cuts.add(slab.along_from + slab.length_m * before / (before - after))
    return sorted(cuts)
