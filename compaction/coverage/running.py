"""What a counter has counted so far: quantities added up, and things that count once however often they come."""

from dataclasses import dataclass, field
from decimal import Decimal

from compaction.coverage.facts import Placed

_ONE = Decimal(1)


@dataclass
class Running:
    """The running quantity of one counter over one scope."""

    basis: str
    known: Decimal = Decimal(0)
    _seen: set[object] = field(default_factory=set)
    _highest: dict[object, Decimal] = field(default_factory=dict)
    _lengths: dict[object, list[tuple[float, float]]] = field(default_factory=dict)

    def add(self, placed: Placed) -> Decimal | None:
        """What a placement adds (m3, m2, m, or a number of things); None where it does not say."""
        added = self._added(placed)
        if added is not None:
            self.known += added
        return added

    def _added(self, placed: Placed) -> Decimal | None:
        if self.basis == "volume":
            return placed.volume_m3
        if self.basis == "area":
            return None if placed.area_m2 is None else Decimal(repr(placed.area_m2))
        if self.basis == "length":
            return self._length(placed)
        if self.basis == "height":
            return self._height(placed)
        return self._thing(placed)

    def _thing(self, placed: Placed) -> Decimal | None:
        """Lifts, days, sides and materials count once."""
        keys: dict[str, object] = {
            "lift": (placed.area, placed.lift),
            "day": placed.day,
            "visit": placed.day,  # a visit is a day on which fill is placed, whoever comes to see it
            "side": placed.side,
            "material": placed.material,
        }
        key = keys[self.basis]
        if key == "":
            return None
        if key in self._seen:
            return Decimal(0)
        self._seen.add(key)
        return _ONE

    def _height(self, placed: Placed) -> Decimal | None:
        """Fill beside fill of the same lift does not add to the height; the thickest part of a lift does."""
        if placed.thickness_m is None:
            return None
        key = (placed.area, placed.lift)
        before = self._highest.get(key, Decimal(0))
        self._highest[key] = max(before, placed.thickness_m)
        return self._highest[key] - before

    def _length(self, placed: Placed) -> Decimal | None:
        """Length along the line that this lift did not have yet: strips side by side count once."""
        if not placed.alignment or placed.station_to_m <= placed.station_from_m:
            return None
        pieces = self._lengths.setdefault((placed.area, placed.lift, placed.alignment), [])
        before = sum(end - start for start, end in pieces)
        start, end = placed.station_from_m, placed.station_to_m
        apart = [piece for piece in pieces if piece[1] < start or piece[0] > end]
        touching = [piece for piece in pieces if not (piece[1] < start or piece[0] > end)]
        merged = (min([start, *(piece[0] for piece in touching)]), max([end, *(piece[1] for piece in touching)]))
        pieces[:] = [*apart, merged]
        return Decimal(repr(round(sum(end - start for start, end in pieces) - before, 6)))
