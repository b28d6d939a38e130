"""How often the demo's specifications ask for tests, and what is said where a stretch was not tested.

| lift | state | why |
|---|---|---|
| most | released | as many tests pass as the lift's volume asks for |
| abutment 1 | short | seven are asked for and six were made; lift 2 was placed over it all the same |
| middle 8 | failed | the buried failure |
| north 7 | released by signature | nobody could test from 31+00 on; the technician said why, the engineer signed |
"""

from typing import Any, Final

from compaction.demo import site
from compaction.demo.scene import Scene
from compaction.demo.working_days import clock

NOTED: Final = clock(15, 5)
SIGNED: Final = clock(16, 40)
UNTESTED: Final = ("C", 7)


def note(scene: Scene, lifts: list[int]) -> None:
    """The technician's word on the stretch that was not tested, and the engineer's signature the day after."""
    code, lift = UNTESTED
    if lift not in lifts:
        return
    section = site.SECTIONS[code]
    day = site.test_day(code, lift)
    at = scene.moment(day, NOTED)
    body: dict[str, Any] = {
        "area": section.name,
        "lift": lift,
        "noted_at": at.isoformat(),
        "reason_code": "unsafe-access",
        "reason": "From 31+00 the scrapers ran without a break; no place to stand beside the haul road.",
    }
    subject = f"{section.name}:{lift}"
    scene.send(at, section.technician, "not_tested", subject, body, subject=subject)
    ruling = {"meaning": "released", "reason": "Rolled in the same passes as the tested stretch, seen by me."}
    scene.send(scene.moment(day + 1, SIGNED), site.ENGINEER, "lift_released", subject, ruling, subject=subject)
