"""Between which oversize percentages a correction may be used, as data by agency: replace a row for another edition.

Up to `minimum_pct` the correction is left out, beyond `maximum_pct` it does not hold. Limits include their own figure.
"""

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

DEFAULT_PRACTICE: Final = "astm_d4718"


@dataclass(frozen=True)
class OversizeLimits:
    """Between which oversize percentages (of the dry mass) the correction may be used, and who says so."""

    minimum_pct: Decimal
    maximum_pct: Decimal
    source: str
    from_memory: bool = False


@dataclass(frozen=True)
class OversizePractice:
    """One agency's practice: its name with the edition, limits by sieve, and what else it excludes."""

    name: str
    limits: dict[str, OversizeLimits]
    note: str = ""
    further: dict[str, Decimal] = field(default_factory=dict)


def _limits(minimum: int, maximum: int, source: str, from_memory: bool = False) -> OversizeLimits:
    return OversizeLimits(Decimal(minimum), Decimal(maximum), source, from_memory)


_D4718: Final = "ASTM D4718 scope; AASHTO T 99 and T 180, annex on oversize"
_T224: Final = "field procedure for AASHTO T 224, 2012"
_T99: Final = "AASHTO T 99, 2017 and 2019, scope and annex on oversize"
_BS: Final = "BS 1377-4:1990, clause 3.2, grading zones (suitability by percent retained on 20 mm and 37.5 mm)"
_VDOT: Final = "Virginia DOT study guide chapter 7, 2012 (minimum); D4718 (maximum)"

#: practice -> limits by sieve (keys of `oversize.SIEVE_NAMES`). `DEFAULT_PRACTICE` holds where none is named.
PRACTICES: Final[dict[str, OversizePractice]] = {
    "astm_d4718": OversizePractice(
        "ASTM D4718-87(2001) and -15",
        {
            "no4": _limits(5, 40, _D4718),
            "three_eighths": _limits(5, 40, _D4718 + " (the limit of the No. 4 sieve)", True),
            "three_quarters": _limits(5, 30, _D4718),
        },
        "5 % is the default minimum where the specifier gives none.",
    ),
    "aashto_t224": OversizePractice(
        "AASHTO T 224, field procedure of 2012",
        {"no4": _limits(5, 40, _T224), "three_quarters": _limits(5, 30, _T224)},
    ),
    "aashto_t99": OversizePractice(
        "AASHTO T 99 and T 180, editions 2017 and 2019, annex",
        {"no4": _limits(5, 40, _T99), "three_quarters": _limits(5, 30, _T99)},
        "5 % is the default minimum where the specifier gives none.",
    ),
    "ariz_227d": OversizePractice(
        "ARIZ 227d, November 2016",
        {
            "no4": _limits(10, 50, "ARIZ 227d, November 2016, method A (aggregate base: 60 %)"),
            "three_quarters": _limits(10, 50, "ARIZ 227d, November 2016"),
        },
        "Not for cinders and porous rock: absorption up to 4 %. Aggregate base by method A: up to 60 %.",
        {"aggregate_base_maximum_pct": Decimal(60), "absorption_maximum_pct": Decimal(4)},
    ),
    "nddot_t224": OversizePractice(
        "North Dakota DOT procedure T 224, 2011",
        {"three_quarters": _limits(5, 30, "North Dakota DOT procedure T 224, 2011")},
        "The water content of the oversize is taken as 2.0 %.",
    ),
    "vdot": OversizePractice(
        "Virginia DOT study guide chapter 7, 2012",
        {"no4": _limits(10, 40, _VDOT), "three_quarters": _limits(10, 30, _VDOT)},
        "With a nuclear gauge up to 35 % in practice.",
        {"nuclear_practical_maximum_pct": Decimal(35)},
    ),
    "bs1377_4": OversizePractice(
        "BS 1377-4:1990, from memory",
        {"twenty_mm": _limits(5, 30, _BS, True), "one_and_half": _limits(5, 10, _BS, True)},
        "Beyond the maximum the soil is not suited to the compaction tests of BS 1377-4.",
    ),
}
#: practice -> sieve -> limits
OVERSIZE_LIMITS: Final = {code: practice.limits for code, practice in PRACTICES.items()}
