"""A day on which a sheet was copied, a proof roll that pumped, and rock fill that nobody can test."""

from datetime import timedelta
from typing import Any, Final

from compaction.demo import site
from compaction.demo.events import FieldTest, station_text
from compaction.demo.scene import Scene
from compaction.demo.working_days import FULL_DAYS, clock

FEWEST: Final = 6
COPIES: Final = 3
ROLLED_LIFT: Final = 6


def copy_a_sheet(scene: Scene, plain: list[FieldTest]) -> None:
    """On the last day with enough plain gauge tests of one crew on one curve, three show what the first one showed."""
    checked = {test.check_of.id for test in scene.tests if test.check_of is not None}
    for day in range(FULL_DAYS - 1, 0, -1):
        crews: dict[tuple[str, str], list[FieldTest]] = {}
        for test in plain:
            if scene.day_of(test.performed_at) == day and _by_gauge(test) and not test.fails and test.id not in checked:
                crews.setdefault((test.technician, test.reference), []).append(test)
        made = next((tests for tests in crews.values() if len(tests) >= FEWEST), None)
        if made is not None:
            for test in sorted(made, key=lambda test: test.performed_at)[1 : 1 + COPIES]:
                test.shown = made[0].shown
            return


def _by_gauge(test: FieldTest) -> bool:
    readings = test.shown.members.get("readings", {})
    return "density_count" in readings and test.oversize_pct is None and test.oven is None


def tell(scene: Scene, lifts: list[int]) -> None:
    """The proof roll and the observed rock fill, on the lift below which they lie."""
    if ROLLED_LIFT not in lifts:
        return
    section = site.SECTIONS["A"]
    day = site.test_day("A", ROLLED_LIFT)
    limits = {"alignment": "dike", "offset_from": "12 L", "offset_to": "12 R"}
    roll: dict[str, Any] = {
        "kind": "proof_roll",
        "area": section.name,
        "lift": ROLLED_LIFT,
        "observed_at": scene.moment(day, clock(15, 20)).isoformat(),
        **limits,
        "station_from": station_text(section.from_ft + 50),
        "station_to": station_text(section.from_ft + 350),
        "equipment": "loaded tandem dumper, 25 t, 80 psi",
        "passes": 2,
        "verdict": "pumping",
        "deflection": "1.5 in",
        "watched_by": section.technician,
        "remarks": "Pumps over a wet pocket; the rest of the lift is stable.",
    }
    rock = {
        "kind": "observed_only",
        "area": section.name,
        "lift": ROLLED_LIFT,
        "observed_at": scene.moment(day, clock(16, 5)).isoformat(),
        **limits,
        "station_from": station_text(section.from_ft),
        "station_to": station_text(section.from_ft + 40),
        "equipment": "vibrating roller, 15 t",
        "passes": 6,
        "reason_code": "rock_fill",
        "watched_by": section.technician,
        "watched": "Rock to 18 in at the culvert; 24 in lift, six passes counted, hosed down.",
    }
    for name, body, at in (("roll", roll, clock(15, 30)), ("rock", rock, clock(16, 15))):
        sent = scene.moment(day, at) + timedelta(minutes=1)
        scene.send(sent, section.technician, "observed_area", ("A", ROLLED_LIFT, name), body)
