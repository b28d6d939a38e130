"""Fill over fill of its own lift counts once where its quantity is worked out, as stated where it is stated."""

from decimal import Decimal

import pytest

from compaction.coverage.facts import Counter, Placed
from compaction.coverage.shared_ground import counted_once
from tests.coverage.fill import cover, placed, rule

SQUARE = ((0.0, 0.0), (100.0, 0.0), (100.0, 10.0), (0.0, 10.0))
TRIANGLE = ((50.0, 0.0), (150.0, 0.0), (50.0, 10.0))  # 500 m2, of which the square has 375
NO_LINE = {"alignment": "", "station_from_m": 0.0, "station_to_m": 0.0, "offset_from_m": 0.0, "offset_to_m": 0.0}


def test_a_derived_volume_counts_shared_ground_once_and_says_so() -> None:
    fill = [
        placed(number=0, volume_m3=Decimal(300)),  # 100 m x 10 m x 0.3 m
        placed(number=1, station_from_m=60.0, station_to_m=160.0, volume_m3=Decimal(300)),  # 400 m2 of it lie there
        placed(number=2, station_from_m=60.0, station_to_m=110.0, area_m2=500.0, volume_m3=Decimal(150)),  # all of it
    ]
    [shown] = cover(counted_once(fill), [], rule(Counter("volume", Decimal(120)), Counter("area", Decimal(400))))
    assert (shown.volume_m3, shown.area_m2) == (Decimal(480), 1600.0)  # 160 m x 10 m x 0.3 m
    assert shown.required == 4  # 480 / 120, and 1,600 / 400
    assert len(shown.overlaps) == 2
    assert shown.overlaps[0].startswith(
        "Fill placed on 2026-06-01 lies over fill of the same lift placed on 2026-06-01"
    )
    assert "by 400.0 m²" in shown.overlaps[0]
    assert "by 500.0 m²" in shown.overlaps[1]


def test_a_stated_quantity_adds_up_as_stated_and_the_overlap_is_named() -> None:
    fill = [placed(number=number, volume_m3=Decimal(300), volume_stated=True) for number in (0, 1)]
    [shown] = cover(counted_once(fill), [])
    assert (shown.volume_m3, shown.area_m2) == (Decimal(600), 1000.0)
    assert "adds up as stated" in shown.overlaps[0]


@pytest.mark.parametrize(
    "other",
    [
        placed(number=1, station_from_m=100.0, station_to_m=200.0),  # end to end
        placed(number=1, offset_from_m=4.995, offset_to_m=15.0),  # half a centimetre over the edge
        placed(2, number=1),  # the next lift
        placed(area="shell", number=1),  # another area: its lifts are counted apart
    ],
)
def test_fill_beside_over_or_of_another_area_counts_whole(other: Placed) -> None:
    assert counted_once([placed(), other]) == [placed(), other]


def test_outlines_share_ground_with_outlines_and_with_ranges() -> None:
    whole = placed(outline=SQUARE, area_m2=1000.0)
    for first in (whole, placed(outline=SQUARE, area_m2=1000.0, **NO_LINE)):
        [_, second] = counted_once(
            [first, placed(number=1, outline=TRIANGLE, area_m2=500.0, volume_m3=Decimal(100), **NO_LINE)]
        )
        assert second.area_m2 == pytest.approx(125.0)
        assert (second.volume_m3, second.shared_m2) == (Decimal("25.000"), pytest.approx(375.0))
        assert second.shared_with == (first.uuid,)


def test_the_order_of_arrival_makes_no_difference() -> None:
    fill = [
        placed(number=number, station_from_m=30.0 * number, station_to_m=30.0 * number + 50, area_m2=500.0)
        for number in range(5)
    ]
    forward, backward = counted_once(fill), counted_once(reversed(fill))
    assert {one.uuid: one for one in forward} == {one.uuid: one for one in backward}
    assert sum(one.area_m2 or 0 for one in forward) == pytest.approx(1700.0)  # 170 m by 10 m
