"""Lots of the demo, each declared the afternoon before the first of its tests, and the owner's tests beside some.

| lot | rule | what to look at |
|---|---|---|
| MIDDLE-10 | percent within limits | every test passes and the lot does not; the owner's sand cones beside the gauge |
| SOUTH-11 | mean less k s, average | a first test fails and is mended: accepted, the failing test stays listed |
| ABUTMENT-9 | moving average of four; water content | three lifts, oven values; accepted |
| NORTH-12 | each test, average | yesterday's lift: a failing test on hold keeps the lot provisional |
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any, Final

from compaction.demo import instruments, site
from compaction.demo.events import FieldTest, identity, station_text
from compaction.demo.fieldwork import SAND_CONE_TECHNICIAN, judged
from compaction.demo.scene import Scene
from compaction.demo.working_days import clock

DECLARED: Final = clock(14, 50)
CLOSED: Final = clock(17, 10)
OWNERS_LOT: Final = "MIDDLE-10"
OWNERS_TESTS: Final = 4
#: what the owner's sand cone finds over the gauge, as a share of the dry density (invented)
OWNERS_FIND: Final = (0.994, 1.003, 0.997, 0.991, 1.001, 0.996)


@dataclass(frozen=True)
class DemoLot:
    """A lot: which reach and lifts, its rules, and on which day after its last tests it is closed (None: never)."""

    code: str
    section: str
    lift_from: int
    lift_to: int
    rules: tuple[Mapping[str, Any], ...]
    closed_after: int | None = None
    reason: str = ""
    more: Mapping[str, Any] | None = None


_PERCENT: Final = {"quantity": "percent_compaction"}
LOTS: Final = (
    DemoLot(
        "MIDDLE-10",
        "B",
        10,
        10,
        (
            {
                **_PERCENT, "statistic": "percent_within_limits", "minimum": "95 %", "percent_within": "95 %",
                "minimum_tests": 7, "clause": "Not less than 95 percent of each lot within the limit.",
            },
        ),
        more={"comparison_risk": "5 %"},
    ),
    DemoLot(
        "SOUTH-11",
        "A",
        11,
        11,
        (
            {**_PERCENT, "statistic": "mean_minus_k_s", "minimum": "95 %", "k_table": "producer_risk_10",
             "minimum_tests": 8},
            {**_PERCENT, "statistic": "average_with_minimum", "minimum": "96 %", "each_minimum": "93 %"},
        ),
        closed_after=1,
        reason="Both rules are met; the one failing spot was rolled again and its retest passes.",
    ),
    DemoLot(
        "ABUTMENT-9",
        "D",
        9,
        11,
        (
            {**_PERCENT, "statistic": "moving_average", "of": 4, "minimum": "97 %", "minimum_tests": 12,
             "figures": "judged", "round_statistic": "0.1 %"},
            {"quantity": "water_content_deviation", "statistic": "average_with_minimum", "minimum": "-1 %",
             "maximum": "3 %"},
        ),
        closed_after=1,
        reason="Oven values are in; no moving average is under the limit.",
    ),
    DemoLot(
        "NORTH-12",
        "C",
        12,
        12,
        (
            {**_PERCENT, "statistic": "each", "minimum": "95 %"},
            {**_PERCENT, "statistic": "average_with_minimum", "minimum": "97 %", "each_minimum": "95 %"},
        ),
    ),
)  # fmt: skip


def declare(scene: Scene, lifts: Iterable[int]) -> None:
    """Declarations and closings of the lots whose lifts are all part of the scenario."""
    built = set(lifts)
    for one in LOTS:
        if not set(range(one.lift_from, one.lift_to + 1)) <= built:
            continue
        section = site.SECTIONS[one.section]
        lifts_text = (
            f"lift {one.lift_from}" if one.lift_from == one.lift_to else f"lifts {one.lift_from} to {one.lift_to}"
        )
        body = {
            "title": f"{section.name}, {lifts_text}",
            "zone": section.zone,
            "lift_from": one.lift_from,
            "lift_to": one.lift_to,
            "alignment": "dike",
            "station_from": station_text(section.from_ft),
            "station_to": station_text(section.to_ft),
            "retests": "replace",
            "rules": [dict(rule) for rule in one.rules],
            **(one.more or {}),
        }
        day = site.test_day(one.section, one.lift_from) - 1
        scene.send(scene.moment(day, DECLARED), site.MANAGER, "lot", one.code, body, subject=one.code, rev=1)
        closing = site.test_day(one.section, one.lift_to) + (one.closed_after or 0)
        if one.closed_after is not None and closing < len(scene.days):
            ruling = {"meaning": "accepted", "reason": one.reason}
            scene.send(scene.moment(closing, CLOSED), site.ENGINEER, "lot_closed", one.code, ruling, subject=one.code)


def owners_tests(scene: Scene, firsts: Iterable[FieldTest]) -> None:
    """Sand cones of the owner beside the gauge, on one lot: four spots at which both pass."""
    lot = next(one for one in LOTS if one.code == OWNERS_LOT)
    made = 0
    for test in firsts:
        if (test.section.code, test.lift) != (lot.section, lot.lift_from) or made == OWNERS_TESTS:
            continue
        if test.shown.members["method"] != "nuclear_gauge" or test.fails:
            continue
        dice = scene.dice("owner", test.id)
        dry_pcf = float(test.shown.dry_pcf) * OWNERS_FIND[made]
        water_pct = float(test.shown.water_pct) + dice.uniform(-0.2, 0.2)
        shown = instruments.sand_cone(dice, dry_pcf=dry_pcf, water_pct=water_pct, coarse=False)
        soils = scene.soils(test.reference, test.performed_at)
        if any(
            verdict.fails for verdict in judged(shown, None, soils=soils, oversize_pct=None, zone=test.section.zone)
        ):
            continue
        performed = scene.free(SAND_CONE_TECHNICIAN, test.performed_at + timedelta(minutes=18))
        scene.tests.append(
            replace(
                test,
                id=identity(scene.seed, "test", test.id, "owner"),
                performed_at=performed,
                received_at=performed + timedelta(minutes=9),
                technician=SAND_CONE_TECHNICIAN,
                station_ft=test.station_ft + 1,
                shown=shown,
                purpose="verification",
                check_of=test,
                more={},
            )
        )
        made += 1
