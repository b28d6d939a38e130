"""A toe drain of clean sand judged by relative density, and a family of curves with a one-point test."""

from collections.abc import Mapping
from datetime import timedelta
from typing import Any, Final

from compaction.demo import instruments, site, spots
from compaction.demo.events import offset_text, station_text
from compaction.demo.papers import STARTS
from compaction.demo.scene import Scene
from compaction.demo.working_days import clock

DRAIN: Final[Mapping[str, Any]] = {
    "alignment": "dike",
    **{
        name: f"{feet * 0.3048:.4f}"
        for name, feet in (
            ("station_from_m", 1800),
            ("station_to_m", 2400),
            ("offset_from_m", 36),
            ("offset_to_m", 48),
        )
    },
}
SAND: Final[Mapping[str, Any]] = {
    "kind": "index_density",
    "soil": "Poorly graded sand, washed, toe drain",
    "minimum_index_density": "92.4 pcf",
    "maximum_index_density": "112.8 pcf",
    "minimum_method": "D4254-A",
    "maximum_method": "D4253-1A",
    "minimum_trials": [{"index_density": f"{value} pcf"} for value in ("92.2", "92.6", "92.4")],
    "maximum_trials": [{"index_density": f"{value} pcf"} for value in ("112.6", "113.0", "112.8")],
    "specific_gravity": "2.65",
    "specific_gravity_measured": True,
    "fines": "3 %",
}
DRAIN_SPECIFICATION: Final[Mapping[str, Any]] = {
    "title": "Toe drain",
    "criteria": [
        {
            "quantity": "relative_density",
            "minimum": "70 %",
            "zone": "toe-drain",
            "clause": "Sand of the drain at a relative density of at least 70 percent.",
        }
    ],
    "rounding": [
        {"quantity": "dry_density", "increment": "0.1", "unit": "pcf"},
        {"quantity": "relative_density", "increment": "1", "unit": "%"},
    ],
}
#: between the two soils of the fill, so that the three make a family
BETWEEN: Final[Mapping[str, Any]] = {
    "soil": "Sandy lean clay, mixed from both borrow areas",
    "method": "D698-A",
    "maximum_dry_density": "112.6 pcf",
    "optimum_water_content": "15.2 %",
    "specific_gravity": "2.69",
    "fit": "drawn through five points",
    "points": [
        {"water_content": f"{water} %", "dry_density": f"{dry} pcf"}
        for water, dry in (
            ("11.4", "106.9"),
            ("13.3", "110.9"),
            ("15.2", "112.5"),
            ("17.0", "110.6"),
            ("18.9", "106.4"),
        )
    ],
}
FAMILY: Final[Mapping[str, Any]] = {
    "kind": "family",
    "soil": "Fill of both borrow areas",
    "method": "D698-A",
    "curves": ["P-101", "P-102", "P-104"],
    "remarks": "For one-point tests where the borrow areas mix.",
}
TECHNICIAN: Final = "p.quillane"
SAND_DAY: Final = 12
#: station, dry density (pcf), water content (percent): relative densities of 79, 73 and 85 % by hand
SPOTS: Final = ((1850, 107.8, 5.1), (2040, 106.5, 4.6), (2310, 109.2, 5.8))
#: (section, lift, which of its tests) whose reference was chosen by one point
ONE_POINT_AT: Final = ("B", 7, 1)
#: on the dry limb of P-102, 85 % of its optimum: 114.4 pcf dry
ONE_POINT: Final = {"basis": "family", "wet_density": "127.6 pcf", "water_content": "11.6 %", "family": "F-1"}


def tell(scene: Scene) -> None:
    """Papers of the first morning, the tests of the drain, and the one point of one test."""
    _papers(scene)
    _drain_tests(scene)
    section, lift, number = ONE_POINT_AT
    first = [test for test in scene.tests if (test.section.code, test.lift) == (section, lift) and not test.retest_of]
    if len(first) > number:
        first[number].more |= {"reference_basis": "one_point", "reference_choice": dict(ONE_POINT)}


def _papers(scene: Scene) -> None:
    minute = iter(range(STARTS + 210, STARTS + 300, 3))

    def send(by: str, kind: str, subject: str, body: Mapping[str, Any]) -> None:
        scene.send(scene.moment(0, next(minute)), by, kind, (subject, 1), body, subject=subject, rev=1)

    send(site.ADMINISTRATOR, "area", "toe-drain", {"name": "Toe drain", "kind": "zone", "content": dict(DRAIN)})
    for code, body in (("R-1", SAND), ("P-104", BETWEEN), ("F-1", FAMILY)):
        send(site.LABORATORY, "reference", code, body)
        send(site.ENGINEER, "reference_approved", code, {"reason": "Trials, points and curves looked at."})
    send(site.MANAGER, "specification", "S-3", DRAIN_SPECIFICATION)
    send(site.ENGINEER, "specification_approved", "S-3", {"reason": "As in the contract, read against it."})


def _drain_tests(scene: Scene) -> None:
    for number, (station_ft, dry_pcf, water_pct) in enumerate(SPOTS, start=1):
        dice = scene.dice("toe drain", number)
        performed = scene.free(TECHNICIAN, scene.moment(SAND_DAY, clock(14, 50) + 25 * number))
        shown = instruments.sand_cone(dice, dry_pcf=dry_pcf, water_pct=water_pct, coarse=False)
        offset_ft = 40 + 2 * number
        body = {
            "performed_at": performed.isoformat(),
            "label": f"TD-{number}",
            "technician": TECHNICIAN,
            "purpose": "acceptance",
            **shown.members,
            "reference": "R-1",
            "reference_basis": "full_test",
            "position": {
                "alignment": "dike",
                "station": station_text(station_ft),
                "offset": offset_text(offset_ft),
                "elevation": f"{site.top_ft(1, station_ft) - 1.5:.2f} ft",
                "elevation_from": "level",
                "gps": spots.fix(dice, station_ft=station_ft, offset_ft=offset_ft),
            },
            "lift": 1,
            "lift_thickness": "12 in",
        }
        scene.send(performed + timedelta(minutes=8), TECHNICIAN, "test", ("toe drain", number), body)
