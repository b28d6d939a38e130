"""The fill of a group as one flat shape: placements laid together, what two of them share counted once.

*Along* is the station and *across* the offset of an alignment, metres. Fill given by corners (no alignment) has
easting and northing instead; along is then the longer way. The shape is kept as slabs between two values along, each
with spans whose edges are straight, so that every area is exact: rectangles and polygons go through one calculation.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate, pairwise

Corner = tuple[float, float]
#: edges closer than this are one edge; stations and offsets are kept to 0.1 mm
TOUCHING_M = 0.00005


@dataclass(frozen=True)
class Span:
    """One stretch across a slab: its lower and upper edge at the slab's beginning and end, metres."""

    low_from: float
    low_to: float
    high_from: float
    high_to: float


@dataclass(frozen=True)
class Slab:
    """Between two values along, with spans from the lowest to the highest."""

    along_from: float
    along_to: float
    spans: tuple[Span, ...]

    @property
    def length_m(self) -> float:
        return self.along_to - self.along_from

    @property
    def width_from_m(self) -> float:
        return sum(span.high_from - span.low_from for span in self.spans)

    @property
    def width_to_m(self) -> float:
        return sum(span.high_to - span.low_to for span in self.spans)

    @property
    def area_m2(self) -> float:
        return self.length_m * (self.width_from_m + self.width_to_m) / 2

    def spans_at(self, along: float) -> list[tuple[float, float]]:
        """(low, high) of each span at a value along."""
        share = (along - self.along_from) / self.length_m
        return [
            (
                span.low_from + (span.low_to - span.low_from) * share,
                span.high_from + (span.high_to - span.high_from) * share,
            )
            for span in self.spans
        ]

    def along_at(self, area_m2: float) -> float:
        """Where so much of the slab's area lies behind. Zero to the slab's own area."""
        start, change = self.width_from_m, self.width_to_m - self.width_from_m
        wanted = area_m2 / self.length_m
        root = max(start * start + 2 * change * wanted, 0.0) ** 0.5
        share = 2 * wanted / (start + root) if start + root else 0.0
        return self.along_from + min(max(share, 0.0), 1.0) * self.length_m


@dataclass(frozen=True)
class Ground:
    """Slabs in order. `alignment` is empty for fill given by corners, `turned` where its along is the northing."""

    alignment: str
    slabs: tuple[Slab, ...]
    turned: bool = False

    @cached_property
    def area_m2(self) -> float:
        return self._areas[-1] if self.slabs else 0.0

    @cached_property
    def length_m(self) -> float:
        """Length along that has fill on it."""
        return sum(slab.length_m for slab in self.slabs)

    @cached_property
    def _areas(self) -> list[float]:
        return list(accumulate(slab.area_m2 for slab in self.slabs))

    @cached_property
    def _starts(self) -> list[float]:
        return [slab.along_from for slab in self.slabs]

    def along_at(self, area_m2: float) -> float:
        """The value along behind which so much of the area lies."""
        number = min(bisect_right(self._areas, area_m2), len(self.slabs) - 1)
        before = self._areas[number - 1] if number else 0.0
        return self.slabs[number].along_at(area_m2 - before)

    def contains(self, along: float, across: float) -> bool:
        """Inside or on the edge, to 0.05 mm."""
        number = bisect_right(self._starts, along) - 1
        for slab in self.slabs[max(number - 1, 0) : number + 2]:
            if slab.along_from - TOUCHING_M <= along <= slab.along_to + TOUCHING_M:
                inside = min(max(along, slab.along_from), slab.along_to)
                if any(low - TOUCHING_M <= across <= high + TOUCHING_M for low, high in slab.spans_at(inside)):
                    return True
        return False

    def between(self, along_from: float, along_to: float) -> tuple[Slab, ...]:
        """The part between two values along."""
        found = []
        for slab in self.slabs[max(bisect_right(self._starts, along_from) - 1, 0) :]:
            if slab.along_from >= along_to:
                break
            start, end = max(slab.along_from, along_from), min(slab.along_to, along_to)
            if end > start:
                ends = zip(slab.spans_at(start), slab.spans_at(end), strict=True)
                found.append(Slab(start, end, tuple(Span(low, to, high, top) for (low, high), (to, top) in ends)))
        return tuple(found)


def rectangle(along_from: float, along_to: float, across_from: float, across_to: float) -> tuple[Corner, ...]:
    """The corners of fill between two stations and two offsets."""
    return ((along_from, across_from), (along_to, across_from), (along_to, across_to), (along_from, across_to))


def lay_together(outlines: Iterable[Sequence[Corner]], *, alignment: str = "") -> Ground:
    """The union of outlines that do not cross themselves, as slabs. Sorted once; only sloping edges are compared."""
    rings = [tuple(outline) for outline in outlines]
    turned = not alignment and _is_higher_than_wide(rings)
    if turned:
        rings = [tuple((second, first) for first, second in ring) for ring in rings]
    edges = sorted(
        (min(start, end), max(start, end), ring)
        for ring, corners in enumerate(rings)
        for start, end in pairwise((*corners, corners[0]))
        if start[0] != end[0]
    )
    cuts = sorted({place for low, high, _ in edges for place in (low[0], high[0])} | _crossings(edges))
    slabs: list[Slab] = []
    open_edges: list[tuple[Corner, Corner, int]] = []
    waiting = 0
    for start, end in pairwise(cuts):
        if end - start < TOUCHING_M:
            continue
        middle = (start + end) / 2
        while waiting < len(edges) and edges[waiting][0][0] < middle:
            open_edges.append(edges[waiting])
            waiting += 1
        open_edges = [edge for edge in open_edges if edge[1][0] > middle]
        spans = _spans(open_edges, start, end)
        if spans:
            slabs.append(Slab(start, end, spans))
    return Ground(alignment, tuple(slabs), turned)


def _is_higher_than_wide(rings: Sequence[Sequence[Corner]]) -> bool:
    firsts = [first for ring in rings for first, _ in ring]
    seconds = [second for ring in rings for _, second in ring]
    return bool(firsts) and max(seconds) - min(seconds) > max(firsts) - min(firsts)


def _at(edge: tuple[Corner, Corner, int], along: float) -> float:
    (low, across), (high, other), _ = edge
    return across + (other - across) * (along - low) / (high - low)


def _spans(edges: list[tuple[Corner, Corner, int]], start: float, end: float) -> tuple[Span, ...]:
    """Each ring's inside between its edges two by two; what overlaps or touches becomes one span."""
    middle = (start + end) / 2
    rings: dict[int, list[tuple[float, float, float]]] = {}
    for edge in edges:
        rings.setdefault(edge[2], []).append((_at(edge, middle), _at(edge, start), _at(edge, end)))
    pairs = sorted(
        (low, high) for found in rings.values() for low, high in zip(*[iter(sorted(found))] * 2, strict=True)
    )
    merged: list[tuple[tuple[float, float, float], tuple[float, float, float]]] = []
    for low, high in pairs:
        if merged and low[0] <= merged[-1][1][0] + TOUCHING_M:
            merged[-1] = (merged[-1][0], max(merged[-1][1], high))
        else:
            merged.append((low, high))
    return tuple(Span(low[1], low[2], high[1], high[2]) for low, high in merged)


def _crossings(edges: list[tuple[Corner, Corner, int]]) -> set[float]:
    """Where edges of different outlines cross; level edges never cross one another."""
    sloping = [edge for edge in edges if edge[0][1] != edge[1][1]]
    found: set[float] = set()
    for one in sloping:
        for other in edges:
            if other[2] == one[2]:
                continue
            start, end = max(one[0][0], other[0][0]), min(one[1][0], other[1][0])
            if start >= end:
                continue
            before, after = _at(one, start) - _at(other, start), _at(one, end) - _at(other, end)
            if before * after < 0:
                found.add(start + (end - start) * before / (before - after))
    return found
