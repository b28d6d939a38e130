"""What the sand-cone technician writes beside the readings: weighings of the microwave, things seen at the spot."""

from dataclasses import replace
from decimal import Decimal
from typing import Any, Final

from compaction.demo.instruments import Shown
from compaction.demo.material import HUNDRED

_DRY_G: Final = Decimal("520.0")
_STILL_WET_G: Final = ("31.4", "6.8", "0.4", "0.0")  # what each weighing had yet to lose
#: lift -> seen at its sand cones
SEEN: Final[dict[int, list[Any]]] = {
    2: [{"what": "vibration", "note": "roller two lanes away while the sand ran"}],
    4: ["rock_protruding"],
    5: ["soil_lost", {"what": "surface_not_level", "note": "lift tracked by a truck"}],
    8: [{"what": "wall_squeezed_in", "note": "soft pocket on the river side"}],
    11: ["specimen_dried_before_weighing"],
}
WEIGHED_EVERY: Final = 3


def by_weighings(shown: Shown, *, lift: int) -> Shown:
    """On every third lift the microwave's weighings stand in place of its value; the figures follow them."""
    if lift % WEIGHED_EVERY:
        return shown
    wet_g = (_DRY_G * (1 + shown.water_pct / HUNDRED)).quantize(Decimal("0.1"))
    water_pct = HUNDRED * (wet_g - _DRY_G) / _DRY_G
    determination = {
        "method": "microwave",
        "fraction": "total",
        "standard": "d4643",
        "specimen_mass": f"{wet_g} g",
        "weighings": [f"{_DRY_G + Decimal(rest)} g" for rest in _STILL_WET_G],
    }
    members = {**shown.members, "water_contents": [determination]}
    return replace(shown, members=members, dry_pcf=shown.wet_pcf / (1 + water_pct / HUNDRED), water_pct=water_pct)


def seen_at_the_spot(*, lift: int) -> dict[str, Any]:
    """What of a sand cone on this lift is worth a tick, as members of its body."""
    return {"spot": SEEN[lift]} if lift in SEEN else {}
