"""Ground that placements of one area on one lift share: it is one piece of fill, and counts once where it is derived.

The plan area of a placement always follows from its limits, and its volume does where nobody stated it (area times
thickness). Of fill laid over fill of the same lift only the ground that it adds is counted, in the order of placing.
A stated quantity, by loads or by survey, is what came there and adds up as stated. Either way a sentence names the
overlap, because a slip in the limits looks the same. Fill of different areas is never compared: their lifts are
counted apart, and one area may lie over another.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Final

from compaction.coverage.facts import Placed
from compaction.coverage.ground import Corner, Ground, lay_together, rectangle
from compaction.coverage.stacking import lying_over

_MILLI: Final = Decimal("0.001")
#: a shared strip narrower than this along the whole of a placement is how edges were drawn, no overlap
_STRIP_M: Final = 0.01


def counted_once(placed: Iterable[Placed]) -> list[Placed]:
    """The same placements; those that share ground with an earlier one of their group say how much and count less.

    Costs sorting, and one step for each pair of a group that overlaps.
    """
    rows = list(placed)
    earlier: dict[str, list[Placed]] = {}
    for one, other in lying_over(rows, lambda one, other: (one.area, one.lift) == (other.area, other.lift)):
        first, later = sorted((one, other), key=lambda row: (row.placed_at, row.uuid))
        earlier.setdefault(later.uuid, []).append(first)
    return [_less(one, earlier[one.uuid]) if one.uuid in earlier else one for one in rows]


def _less(one: Placed, earlier: Sequence[Placed]) -> Placed:
    by_outline = any(not row.alignment or row.alignment != one.alignment for row in (one, *earlier))
    own = _ground([one], by_outline)
    before = _ground(earlier, by_outline)
    both = _ground([one, *earlier], by_outline)
    shared = own.area_m2 + before.area_m2 - both.area_m2
    longest = max(own.length_m, own.area_m2 / own.length_m if own.length_m else 0.0)
    if not own.area_m2 or shared <= _STRIP_M * longest:
        return one
    share = min(shared / own.area_m2, 1.0)
    added = 1.0 - share
    area_m2 = None if one.area_m2 is None else round(one.area_m2 * added, 2)
    volume_m3 = one.volume_m3
    if not one.volume_stated and volume_m3 is not None:
        volume_m3 = (volume_m3 * Decimal(repr(added))).quantize(_MILLI)
    shared_m2 = round(shared if one.area_m2 is None else one.area_m2 * share, 2)
    return replace(one, area_m2=area_m2, volume_m3=volume_m3, shared_m2=shared_m2, shared_with=_uuids(earlier))


def _uuids(rows: Sequence[Placed]) -> tuple[str, ...]:
    return tuple(row.uuid for row in sorted(rows, key=lambda row: (row.placed_at, row.uuid)))


def _ground(rows: Sequence[Placed], by_outline: bool) -> Ground:
    if by_outline:
        return lay_together(row.outline for row in rows if row.outline)
    return lay_together((_rectangle(row) for row in rows), alignment=rows[0].alignment)


def _rectangle(row: Placed) -> tuple[Corner, ...]:
    return rectangle(row.station_from_m, row.station_to_m, row.offset_from_m, row.offset_to_m)


def overlap_sentences(placed: Iterable[Placed]) -> tuple[str, ...]:
    """A sentence for each placement of a group that shares ground with earlier ones."""
    found = []
    days = {}
    for one in sorted(placed, key=lambda row: (row.placed_at, row.uuid)):
        days[one.uuid] = one.day
        if not one.shared_with:
            continue
        with_days = ", ".join(dict.fromkeys(str(days[uuid]) for uuid in one.shared_with if uuid in days))
        counted = (
            "its quantity was stated and adds up as stated, the ground counts once"
            if one.volume_stated
            else "the ground counts once, and so does the quantity worked out from it"
        )
        found.append(
            f"Fill placed on {one.day} lies over fill of the same lift placed on {with_days} by "
            f"{one.shared_m2:,.1f} m²; {counted}. Check the limits, or state the quantity."
        )
    return tuple(found)
