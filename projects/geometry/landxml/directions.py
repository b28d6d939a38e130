"""Which convention a file's written directions follow. They are not used; the finding warns and explains."""

import math
from collections.abc import Callable, Sequence

from projects.geometry.landxml.numbers import angle_rad

_TOLERANCE_RAD = 2e-4  # written to about 0.01 degree
ANGULAR_UNITS = ("radians", "grads", "decimal degrees", "decimal dd.mm.ss")
_TO_AZIMUTH: tuple[tuple[str, Callable[[float], float]], ...] = (
    ("counter-clockwise from north, as the schema has it", lambda angle: -angle),
    ("clockwise from north", lambda angle: angle),
    ("counter-clockwise from east", lambda angle: math.pi / 2.0 - angle),
    ("clockwise from east", lambda angle: math.pi / 2.0 + angle),
)


def convention_found(written: Sequence[tuple[str, float]], declared_unit: str) -> str:
    """In words: how the directions are written, or that no convention fits. Azimuths are true, clockwise from north.

    The declared unit is tried first, then the others, because some files name none and mean another.
    """
    if not written:
        return "The file writes no directions on its elements. They are computed from coordinates."
    units = [declared_unit] if declared_unit in ANGULAR_UNITS else []
    units += [unit for unit in ANGULAR_UNITS if unit not in units]
    for unit in units:
        for words, to_azimuth in _TO_AZIMUTH:
            if all(_fits(text, azimuth, unit, to_azimuth) for text, azimuth in written):
                note = (
                    ""
                    if unit == (declared_unit or "radians")
                    else f", although the file declares {declared_unit or 'none'}"
                )
                return f"Directions are written {words}, in {unit}{note}. They are not used; coordinates are."
    return (
        "The directions written on the elements fit no convention (or are rounded more than 0.01 degree). "
        "They are not used; coordinates are."
    )


def _fits(text: str, azimuth: float, unit: str, to_azimuth: Callable[[float], float]) -> bool:
    angle = angle_rad(text, unit)
    return angle is not None and abs(math.remainder(to_azimuth(angle) - azimuth, 2.0 * math.pi)) <= _TOLERANCE_RAD
