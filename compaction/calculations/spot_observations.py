"""What was seen at the spot and which way it pulls the result: words, direction, reason, source. Changes no number.

Too high is the unsafe direction: soil that fails may seem to pass. Each direction is worked through the calculation in
`tests/calculations/test_spot_observations.py`. D1556 scope and section 5.3 with note 1 were read in the 2015 edition;
what a row calls common practice has no source.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from compaction.facts import Finding

HIGH: Final = "high"
LOW: Final = "low"
EITHER: Final = "either"
MOISTURE: Final = "moisture"
#: direction -> (arrow and short word, what it means)
DIRECTIONS: Final[Mapping[str, tuple[str, str]]] = MappingProxyType(
    {
        HIGH: ("↑ reads too high", "↑ Density and percent compaction read too high: a fail may pass"),
        EITHER: ("↕ reads either way", "↕ Density and percent compaction may read too high or too low"),
        LOW: ("↓ reads too low", "↓ Density and percent compaction read too low: a pass may fail"),
        MOISTURE: ("→ only the water content", "→ Dry density and percent compaction stay as they are"),
    }
)
_WATER: Final = {
    "": "",
    "low": ", and the water content reads too low",
    "high": ", and the water content reads too high",
}
PRACTICE: Final = "common practice (no source)"
_SOFT: Final = "ASTM D1556-15, section 5.3 and note 1"
_VOIDS: Final = "ASTM D1556-15, section 1.3"

SAND: Final = ("sand",)
HOLE: Final = ("sand", "balloon", "water")
WEIGHED: Final = (*HOLE, "cylinder")


@dataclass(frozen=True)
class SpotObservation:
    """One thing to be seen. `volume_by`: the methods it bears on, by how they get the volume; empty means every method.

    `water`: whether the water content reads low or high with it.
    """

    words: str
    direction: str
    why: str
    remedy: str = ""
    source: str = PRACTICE
    volume_by: tuple[str, ...] = ()
    water: str = ""

    @property
    def unsafe(self) -> bool:
        """Whether a result that is too good may come of it."""
        return self.direction != LOW


_AGAIN: Final = "Repeat the test beside this one."
_MOVE: Final = "Move and dig again."
_TAKE: Final = "Take a new specimen."

#: code -> observation, the unsafe direction first. The codes are a closed list of the record.
OBSERVATIONS: Final[Mapping[str, SpotObservation]] = MappingProxyType(
    {
        # ---- reads too high
        "wall_squeezed_in": SpotObservation(
            "wall squeezed in after digging (vibration, people standing near)", HIGH,
            "The hole is measured smaller than it was dug.", _AGAIN, _SOFT, HOLE,
        ),
        "void_not_filled": SpotObservation(
            "overhang or hollow that was not filled", HIGH,
            "Dug space that the filling does not reach is missing from the volume.", _MOVE, volume_by=HOLE,
        ),
        "loose_soil_left": SpotObservation(
            "loose soil left in the hole, not weighed", HIGH,
            "Loose soil takes more room in the hole than its mass had in the fill.", _AGAIN, volume_by=HOLE,
        ),
        "soil_from_outside": SpotObservation(
            "soil from outside the hole got in and was weighed", HIGH,
            "The mass is of more soil than the hole held.", _AGAIN, volume_by=WEIGHED,
        ),
        "sand_damp": SpotObservation(
            "sand damp", HIGH, "Damp sand lies looser than the calibrated sand, in the hole and in the cone.",
            "Dry the sand, calibrate it again and repeat the test.", volume_by=SAND,
        ),
        "sand_held_up": SpotObservation(
            "sand did not run freely, or the valve was closed too early", HIGH,
            "Less sand runs out than hole and cone can hold.", _AGAIN, volume_by=SAND,
        ),
        "vibration_at_calibration": SpotObservation(
            "vibration or tapping while the sand was calibrated", HIGH,
            "The sand was calibrated denser than it lies in the hole.", "Calibrate the sand again.", volume_by=SAND,
        ),
        "balloon_air_trapped": SpotObservation(
            "air between balloon and wall", HIGH, "The balloon does not fill what was dug.", _AGAIN,
            volume_by=("balloon",),
        ),
        "liner_bridged": SpotObservation(
            "liner bridged over hollows or folded", HIGH, "The water does not fill what was dug.",
            "Empty the pit, lay the liner anew and fill it again.", volume_by=("water",),
        ),
        "soil_pressed_in_cylinder": SpotObservation(
            "soil pressed together by driving the cylinder", HIGH,
            "The cylinder holds more soil than the same space in the fill.", "Use a method that digs a hole.",
            volume_by=("cylinder",),
        ),
        "specimen_dried_before_weighing": SpotObservation(
            "moisture specimen dried out before its wet weighing, the soil from the hole did not", HIGH,
            "The specimen has lost water that the weighed soil still had.", _TAKE, water="low",
        ),
        "specimen_not_dried_out": SpotObservation(
            "moisture specimen not dried out, or damp again before its dry weighing", HIGH,
            "The dry mass still holds water.", "Dry it to constant mass.", water="low",
        ),
        # ---- either way
        "rock_protruding": SpotObservation(
            "rock sticking out of the wall", EITHER,
            "The space beneath it may stay empty (too high); rock that belongs to the spot is left out (too low).",
            _MOVE, volume_by=HOLE,
        ),
        "plate_moved": SpotObservation(
            "base plate moved between readings or weighings", EITHER,
            "Rim and hole no longer agree: a ledge hides soil that was dug, a gap takes in filling.", _AGAIN,
            volume_by=HOLE,
        ),
        "surface_not_level": SpotObservation(
            "surface not levelled under the plate", EITHER,
            "A hollow under the plate counts as hole (too low), a hump inside its ring fills part of it (too high).",
            "Level the surface, or read the plate before digging.", volume_by=SAND,
        ),
        "sand_dirty": SpotObservation(
            "sand used again with soil in it", EITHER,
            "Fines fill its pores, lumps hold it apart: its bulk density is not the calibrated one.",
            "Screen and dry the sand, and calibrate it again.", volume_by=SAND,
        ),
        "hole_too_small": SpotObservation(
            "hole small for the particles", EITHER,
            "Every error of volume and mass weighs more, and one stone more or less changes the result.",
            _MOVE, "ASTM D1556, table 1 (from memory)", HOLE,
        ),
        "free_water": SpotObservation(
            "water seeping into the hole", EITHER,
            "Wet sand packs otherwise, the walls soften and the soil takes up water.", "Use another method here.",
            _SOFT, HOLE,
        ),
        "spot_not_representative": SpotObservation(
            "spot not representative of the lift", EITHER,
            "A wheel track, a joint or a seam of other soil says little about the lift.",
            "Add a test where the lift is as usual.",
        ),
        # ---- the moisture alone
        "soil_and_specimen_dried": SpotObservation(
            "soil and moisture specimen both dried before either was weighed", MOISTURE,
            "Both lost the same share of water, so that it falls out of the dry density.",
            "Cover the soil at once; judge the moisture by another specimen.", water="low",
        ),
        # ---- reads too low
        "soil_lost": SpotObservation(
            "soil from the hole lost before weighing", LOW, "The mass is of less soil than the hole held.", _AGAIN,
            volume_by=WEIGHED,
        ),
        "vibration": SpotObservation(
            "equipment vibrating nearby while the sand was poured", LOW,
            "Shaken sand packs denser, so that more of it goes into the same hole.",
            "Stop the equipment and repeat the test.", volume_by=SAND,
        ),
        "jar_shaken": SpotObservation(
            "apparatus shaken or knocked while the sand ran", LOW,
            "Shaken sand packs denser, so that more of it goes into the same hole.", _AGAIN, volume_by=SAND,
        ),
        "plate_rocking": SpotObservation(
            "base plate rocking, sand ran beneath it", LOW, "Sand beneath the plate counts as sand in the hole.",
            "Seat the plate and repeat the test.", volume_by=SAND,
        ),
        "cone_lifted": SpotObservation(
            "cone lifted or sand spilled before the second weighing", LOW,
            "Sand that was spilled counts as sand in the hole.", _AGAIN, volume_by=SAND,
        ),
        "sand_ran_into_voids": SpotObservation(
            "filling ran into pores or cracks of the fill", LOW, "Space that was not dug counts as hole.",
            "Use a method with a liner.", _VOIDS, ("sand",),
        ),
        "wall_pushed_out": SpotObservation(
            "wall pushed outward by tools, balloon or surcharge", LOW,
            "The hole is measured larger than the soil that came out of it.", _AGAIN, _SOFT, HOLE,
        ),
        "balloon_leaked": SpotObservation(
            "balloon leaked", LOW, "Water that was lost counts as hole.", "Mend it and repeat the test.",
            volume_by=("balloon",),
        ),
        "liner_leaked": SpotObservation(
            "liner leaked", LOW, "Water that was lost counts as pit.", "Replace the liner and fill the pit again.",
            volume_by=("water",),
        ),
        "soil_loosened_in_cylinder": SpotObservation(
            "soil cracked or loosened by driving the cylinder", LOW,
            "The cylinder holds less soil than the same space in the fill.", "Use a method that digs a hole.",
            volume_by=("cylinder",),
        ),
        "soil_dried_before_weighing": SpotObservation(
            "soil from the hole dried before it was weighed, the moisture specimen was taken fresh", LOW,
            "The weighed soil has lost water that the specimen still had.", _AGAIN, volume_by=WEIGHED,
        ),
        "specimen_lost": SpotObservation(
            "part of the moisture specimen lost between its weighings", LOW,
            "Lost soil counts as water.", _TAKE, water="high",
        ),
        "specimen_overheated": SpotObservation(
            "moisture specimen overheated: smoke, smell, popping", LOW,
            "Burnt organic matter, water of crystallisation and burst stones count as water.", _TAKE,
            "ASTM D4643, section 5.2", water="high",
        ),
        "gap_under_gauge": SpotObservation(
            "gap under the gauge or around its rod", LOW, "Through air more radiation gets to the detector.",
            "Fill the surface with native fines, at most a tenth of the area, or move.", volume_by=("gauge",),
        ),
        "wall_near_gauge": SpotObservation(
            "trench wall or vertical mass near the gauge", LOW,
            "It sends neutrons back that read as water in the soil, which is taken off the wet density.",
            "Take a trench count, or move.", volume_by=("gauge",), water="high",
        ),
    }
)  # fmt: skip


def observations_for(volume_by: str) -> dict[str, SpotObservation]:
    """The observations that bear on methods with this way to the volume (`Method.volume_by`), in order.

    Source: common practice (no source).

    >>> "liner_leaked" in observations_for("water"), "vibration" in observations_for("water")
    (True, False)
    """
    return {code: one for code, one in OBSERVATIONS.items() if not one.volume_by or volume_by in one.volume_by}


def spot_findings(codes: Iterable[str], *, volume_by: str) -> tuple[Finding, ...]:
    """A finding for each observation, in the order of the list: information, or validity in the unsafe direction.

    Codes are keys of `OBSERVATIONS`. One that does not bear on the method is kept and said to be without effect.
    Source: see `SpotObservation.source`.

    >>> [(one.code, one.severity) for one in spot_findings(["soil_lost", "void_not_filled"], volume_by="sand")]
    [('spot-void-not-filled', 'validity'), ('spot-soil-lost', 'information')]
    """
    seen = set(codes)
    return tuple(_finding(code, one, volume_by) for code, one in OBSERVATIONS.items() if code in seen)


def _finding(code: str, one: SpotObservation, volume_by: str) -> Finding:
    name = "spot-" + code.replace("_", "-")
    if one.volume_by and volume_by not in one.volume_by:
        return Finding(
            name,
            "information",
            f"Seen at the spot: {one.words}. This has no known effect on a test by this method; check the method.",
            {"observation": code, "direction": "none"},
        )
    meaning = DIRECTIONS[one.direction][1]
    told = (f"Seen at the spot: {one.words}.", one.why, f"{meaning}{_WATER[one.water]}.", one.remedy)
    return Finding(
        name,
        "validity" if one.unsafe else "information",
        " ".join((*filter(None, told), f"Source: {one.source}.")),
        {"observation": code, "direction": one.direction},
    )
