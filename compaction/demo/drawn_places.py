"""Two lifts on which the places of tests were drawn at random before anybody went there.

| lift | story |
|---|---|
| north 12 | drawn and tested yesterday; two tests stand elsewhere in their cells, where the roller turned |
| middle 12 | drawn yesterday evening; one place is substituted this morning, the rest is still to do |
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from compaction.coverage.cells import Division, divide
from compaction.coverage.draws import Place, draw
from compaction.coverage.ground import lay_together, rectangle
from compaction.coverage.locations import location_uuid
from compaction.demo import site
from compaction.demo.events import identity
from compaction.demo.scene import Scene
from compaction.demo.working_days import clock

FOOT_M: Final = 0.3048
DRAWN: Final = clock(16, 25)
MARGIN_FT, WITHIN_FT = 2, 5


@dataclass(frozen=True)
class DrawnLift:
    """A draw: its seed, cells tested elsewhere, and the cell whose place is substituted (0: none), minutes of when."""

    seed: str
    elsewhere: frozenset[int] = frozenset()
    substituted: int = 0
    at: int = 0


LIFTS: Final = {
    ("C", 12): DrawnLift("5e3a90c17b24d8f6", elsewhere=frozenset({3, 7})),
    ("B", 12): DrawnLift("91d07c4ae2b6385f", substituted=2, at=clock(8, 20)),
}


def _division(section: site.Section, lift: int) -> Division:
    half = site.half_width_ft(lift)
    outline = rectangle(section.from_ft * FOOT_M, section.to_ft * FOOT_M, -half * FOOT_M, half * FOOT_M)
    return divide([lay_together([outline], alignment="dike")], count=section.tests, area=section.name, lift=lift)


def places(section: site.Section, lift: int, spread: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Station and offset of each test in whole feet: where it was drawn, on the lifts that were; else as spread."""
    one = LIFTS.get((section.code, lift))
    if one is None:
        return spread
    division = _division(section, lift)
    found = {place.cell.number: place for place in draw(division, seed=one.seed, edge_margin_m=MARGIN_FT * FOOT_M)}
    if one.substituted:
        [found[one.substituted]] = draw(
            division, seed=one.seed, edge_margin_m=MARGIN_FT * FOOT_M, numbers=[one.substituted], attempt=1
        )
    return [spread[number - 1] if number in one.elsewhere else _feet(place) for number, place in sorted(found.items())]


def _feet(place: Place) -> tuple[int, int]:
    return round(place.station_m / FOOT_M), round(place.offset_m / FOOT_M)


def tell(scene: Scene, lifts: Iterable[int]) -> None:
    """The draws, each after its lift was placed, and the substitution."""
    built = set(lifts)
    for (code, lift), one in LIFTS.items():
        if lift not in built:
            continue
        section = site.SECTIONS[code]
        day = site.test_day(code, lift)
        body = {
            "area": section.name,
            "lift": lift,
            "tests": section.tests,
            "edge_margin": f"{MARGIN_FT} ft",
            "done_within": f"{WITHIN_FT} ft",
        }
        scene.send(scene.moment(day - 1, DRAWN), site.SUPERVISOR, "location_draw", (code, lift), body, subject=one.seed)
        if one.substituted:
            drawing = identity(scene.seed, "location_draw", (code, lift))
            reason = {"reason_code": "structure", "reason": "On the toe drain's riser; the plate cannot be seated."}
            scene.send(
                scene.moment(day, one.at) + timedelta(minutes=1),
                section.technician,
                "location_substituted",
                (code, lift, one.substituted),
                reason,
                subject=f"{drawing} {location_uuid(drawing, one.substituted)}",
            )
