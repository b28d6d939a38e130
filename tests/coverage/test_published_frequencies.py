"""Ten published rules of frequency, written as rules and worked by hand.

The rules are those of the practice file's table D.1; each test names its row, what it cites, and whether the text was
read ("verified") or is told from memory. Quantities are invented, the arithmetic is done beside them.
"""

from decimal import Decimal

from compaction.coverage.facts import Counter, FrequencyRule, Placed, Reduced
from compaction.coverage.frequency import demands
from compaction.coverage.lifts import Book
from compaction.coverage.ratios import Curve, ratios
from tests.coverage.fill import ACRE, FT, FT2, YD3, cover, made, placed, rule


def required(fill: list[Placed], asked: FrequencyRule) -> list[int | None]:
    """What the rule asks of each group, in their order."""
    found = demands(fill, lambda zone, moment: (asked,))
    return [found[group][0].required for group in sorted(found)]


def test_1_a_state_manual_one_per_2000_cubic_yards_of_embankment() -> None:
    """Row 1, state sampling manual, item 203 (verified, S4). It runs on over the lifts of the embankment."""
    asked = rule(Counter("volume", 2000 * YD3, "area", unit="yd3"))
    fill = [placed(lift, day=lift, volume_m3=1500 * YD3) for lift in (1, 2, 3, 4)]
    # 1,500 -> 0.75: 1 in all; 3,000 -> 1.5: 2; 4,500 -> 2.25: 3; 6,000 -> 3: 3. By difference 1, 1, 1, 0.
    assert required(fill, asked) == [1, 1, 1, 0]


def test_2_a_landfill_liner_each_method_at_its_own_interval() -> None:
    """Row 2, landfill quality plan, Table 3-3 (verified, S1): gauge 1/250 yd3 (5 per acre and lift), sand cone
    1/5,000 yd3. One lift of 6 acres, 6,000 yd3: gauge 24 by volume, 30 by area; sand cone 2."""
    gauge = rule(
        Counter("volume", 250 * YD3, unit="yd3"),
        Counter("area", ACRE / 5, unit="acre"),
        name="gauge",
        methods=("nuclear_gauge",),
    )
    cone = rule(Counter("volume", 5000 * YD3, unit="yd3"), name="sand cone", methods=("sand_cone",))
    fill = [placed(volume_m3=6000 * YD3, area_m2=float(6 * ACRE))]
    assert required(fill, gauge) == [30]  # the larger of 24 and 30
    assert required(fill, cone) == [2]
    [shown] = cover(fill, [], gauge, cone)
    assert shown.required == 32  # by methods that do not stand in for each other


def test_3_general_earthfill_one_per_500_cubic_yards_and_a_proctor_per_5000() -> None:
    """Row 3, the same plan (verified, S1). 7,800 yd3 on one lift: 15.6 -> 16 tests; curves 1.56 -> 2."""
    asked = rule(Counter("volume", 500 * YD3, unit="yd3"))
    curves = rule(Counter("volume", 5000 * YD3, "material", unit="yd3"), name="curves", counts="references")
    fill = [placed(volume_m3=7800 * YD3, material="P-1")]
    assert required(fill, asked) == [16]
    book = Book(placed=tuple(fill), rules_of=lambda zone, moment: (asked, curves))
    [ratio] = ratios(book, curves=[Curve("P-1")])
    assert (ratio.required, ratio.made, ratio.short) == (2, 1, 1)


def test_4_pipe_zone_one_per_250_feet_of_trench() -> None:
    """Row 4, the same plan, pipe zone (verified, S2). 610 ft: 2.44 -> 3. Two strips side by side count once."""
    asked = rule(Counter("length", 250 * FT, unit="ft"))
    trench = {"station_from_m": 0.0, "station_to_m": float(610 * FT)}
    left = placed(offset_from_m=-5.0, offset_to_m=0.0, **trench)
    right = placed(number=1, offset_from_m=0.0, offset_to_m=5.0, **trench)
    assert required([left], asked) == [3]
    assert required([left, right], asked) == [3]


def test_5_a_mine_embankment_one_per_10000_square_feet_and_one_direct_per_15_by_gauge() -> None:
    """Row 5, mine permit specification (verified, S3e). 32,500 ft2: 3.25 -> 4. 31 gauge tests: 2 checks are due."""
    area = rule(Counter("area", 10_000 * FT2, unit="ft2"))
    checks = rule(Counter("tests", Decimal(15), "area"), name="direct", methods=("sand_cone",))
    fill = [placed(area_m2=float(32_500 * FT2))]
    assert required(fill, area) == [4]
    gauge = [made(number) for number in range(1, 32)]
    retest = made(40, original=False)
    cone = made(41, method="sand_cone", original=False, check=True)
    book = Book(placed=tuple(fill), tests=(*gauge, retest, cone), rules_of=lambda zone, moment: (area, checks))
    [ratio] = ratios(book)
    assert (ratio.quantity, ratio.required, ratio.made, ratio.short) == (31, 2, 1, 1)


def test_6_structure_backfill_one_per_foot_and_a_half_of_depth_and_at_least_two() -> None:
    """Row 8, federal road specification of 1996, Table 209-1 (verified, S17d): 1 per 1.5 ft of depth, at least 2 an
    installation. Eight-inch lifts: 0.67, 1.33 ft: 2 (the minimum); 2.0 ft: 1.33 -> 2; 3.33 ft: 2.22 -> 3."""
    asked = rule(Counter("height", Decimal("1.5") * FT, "area", minimum=2, unit="ft"))
    fill = [placed(lift, day=lift, thickness_m=FT * 8 / 12) for lift in range(1, 6)]
    assert required(fill, asked) == [2, 0, 0, 0, 1]


def test_7_a_road_lot_of_500_feet_reduced_after_twelve_passes() -> None:
    """Row 9, state road earthwork, section 120 (verified, S6): one per lot of at most 500 ft; after 12 passing tests
    in a row one of two lots. Thirteen lifts of 400 ft: the first twelve each ask for one."""
    asked = rule(Counter("length", 500 * FT, unit="ft"), reduced=Reduced(12, 2))
    reach = {"station_to_m": float(400 * FT)}
    fill = [placed(lift, day=lift, **reach) for lift in range(1, 17)]
    passing = [made(lift, lift, day=lift) for lift in range(1, 13)]
    shown = cover(fill, passing, asked)
    assert [one.required for one in shown[:12]] == [1] * 12
    pairs = [shown[number].required + shown[number + 1].required for number in (12, 14)]
    assert pairs == [1, 1]  # one of each two
    fallen_back = [*passing[:11], made(12, 12, day=12, result="fail", failure_state="closed")]
    assert [one.required for one in cover(fill, fallen_back, asked)][12:] == [1] * 4


def test_8_three_in_place_tests_per_500_square_metres_of_each_layer() -> None:
    """Row 12, national schedule of minimum tests (verified, S13c): 3 per 500 m2 and layer, so one for 166.67 m2.
    1,250 m2: 7.5 -> 8. Curves per 1,500 m3: 4,000 m3 -> 3."""
    asked = rule(Counter("area", Decimal(500) / 3, unit="m2"))
    assert required([placed(area_m2=1250.0)], asked) == [8]
    assert required([placed(area_m2=500.0)], asked) == [3]  # and no fourth through a rounding of the third part
    curves = rule(Counter("volume", Decimal(1500), "area", unit="m3"), name="curves", counts="references")
    fill = [placed(lift, day=lift, volume_m3=Decimal(2000), material="P-1") for lift in (1, 2)]
    [ratio] = ratios(Book(placed=tuple(fill), rules_of=lambda zone, moment: (curves,)))
    assert (ratio.required, ratio.made) == (3, 0)


def test_9_large_areas_by_area_or_volume_whichever_gives_more() -> None:
    """Row 16, Australian guideline for earthworks, Table 8.1 (from memory): one per layer and 2,500 m2, or per
    500 m3, whichever gives more. 4,000 m2 of 0.3 m: 1.6 -> 2 and 1,200 m3: 2.4 -> 3. Of 0.1 m: 2 and 400 m3: 1."""
    asked = rule(Counter("area", Decimal(2500), unit="m2"), Counter("volume", Decimal(500), unit="m3"))
    assert required([placed(area_m2=4000.0, volume_m3=Decimal(1200))], asked) == [3]
    assert required([placed(area_m2=4000.0, volume_m3=Decimal(400))], asked) == [2]
    # Trench, one per 2 layers and 40 m: one per 80 m of layer. Layers of 100 m: 1.25 -> 2, 2.5 -> 3, 3.75 -> 4, 5 -> 5.
    fill = [placed(lift, day=lift) for lift in (1, 2, 3, 4)]
    assert required(fill, rule(Counter("length", Decimal(80), "area"))) == [2, 1, 1, 1]
    # One per 2 layers whatever their length: 0.5 -> 1, 1, then 1.5 -> 2, 2.
    assert required(fill, rule(Counter("lift", Decimal(2), "area"))) == [1, 0, 1, 0]


def test_10_a_dam_one_per_2000_cubic_yards_and_at_least_one_a_shift_and_zone() -> None:
    """Row 15, federal manual for earth dams (from memory): about one per 2,000 yd3, at least one per shift and zone.
    Three days of 900, 2,500 and 1,200 yd3, each rounded up within its day: 1, 2, 1."""
    asked = rule(Counter("volume", 2000 * YD3, "day", minimum=1, unit="yd3"))
    fill = [placed(lift, day=lift, volume_m3=volume * YD3) for lift, volume in ((1, 900), (2, 2500), (3, 1200))]
    assert required(fill, asked) == [1, 2, 1]
    same_day = [placed(1, volume_m3=900 * YD3), placed(2, number=30, volume_m3=900 * YD3)]
    assert required(same_day, asked) == [1, 0]  # 1,800 yd3 in one day: one test, and the first lift has it
