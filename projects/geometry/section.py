"""From the grade line to the tested surface beside it: cross slope and the layers on top."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from projects.geometry.plain_content import as_object, optional_decimal, plain_decimal


@dataclass(frozen=True)
class CrownedSection:
    """A section that falls to both sides alike.

    `cross_slope` is rise over run away from the line (-0.02 falls two percent); `cover` is the thickness
    of the layers between the grade line and the surface that depth is counted from, in metres.
    """

    cross_slope: Decimal = Decimal(0)
    cover_m: Decimal = Decimal(0)

    def surface_m(self, *, grade_line_m: float, offset_m: float) -> float:
        """Elevation of the counted surface: grade line + cross slope x |offset| - cover."""
        return grade_line_m + float(self.cross_slope) * abs(offset_m) - float(self.cover_m)


def section_from_plain(content: Mapping[str, Any] | None, metres: Decimal) -> CrownedSection:
    """A section from stored content; `cover` is in the alignment's unit of `metres`. None is level, no cover."""
    if content is None:
        return CrownedSection()
    as_object(content, "section", frozenset({"cross_slope", "cover"}))
    return CrownedSection(
        cross_slope=optional_decimal(content, "cross_slope", "section.") or Decimal(0),
        cover_m=(optional_decimal(content, "cover", "section.") or Decimal(0)) * metres,
    )


def section_to_plain(section: CrownedSection, metres: Decimal) -> dict[str, str]:
    """The stored content of a section."""
    return {
        "cross_slope": plain_decimal(section.cross_slope),
        "cover": plain_decimal((section.cover_m / metres).quantize(Decimal("0.000001"))),
    }
