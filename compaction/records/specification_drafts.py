"""Generic drafts of a specification to start from. Nobody's contract: edition and clauses are filled in from it.

Every draft says where its figures come from and how certain that is; until then an approval is refused, see
`specification.still_to_fill_in`.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final


@dataclass(frozen=True)
class Draft:
    """A draft: its name in addresses, what it is for, and the body of the revision."""

    key: str
    words: str
    body: Mapping[str, Any]


_DENSITY: Final = "percent_compaction"
_MOISTURE: Final = "water_content_deviation"
_WHOLE_PERCENT: Final = [{"quantity": _DENSITY, "increment": "1", "unit": "%"}]
_STANDARD: Final = ["D698", "T99"]
_MODIFIED: Final = ["D1557", "T180"]


def _draft(key: str, words: str, *, source: str, certainty: str, **body: Any) -> Draft:
    marks = {"draft": True, "source": source, "certainty": certainty, "edition": ""}
    return Draft(key, words, {"title": words, **marks, **body})


DRAFTS: Final[Mapping[str, Draft]] = {
    draft.key: draft
    for draft in (
        _draft(
            "sliding",
            "Embankment, limit by the maximum of the reference",
            source="Ohio DOT Construction and Material Specifications 2010, section 203.07, table",
            certainty="read",
            criteria=[
                {
                    "quantity": _DENSITY,
                    "minimum": minimum,
                    "reference_methods": _STANDARD,
                    "reference_maximum": bounds,
                }
                for minimum, bounds in (
                    ("102 %", {"at_least": "90 pcf", "below": "105 pcf"}),
                    ("100 %", {"at_least": "105 pcf", "below": "120 pcf"}),
                    ("98 %", {"at_least": "120 pcf"}),
                )
            ],
        ),
        _draft(
            "plasticity",
            "Embankment, limits on both sides by plasticity index",
            source="TxDOT Standard Specifications 2014, Item 132, Table 2",
            certainty="from_memory",
            criteria=[
                {"quantity": _DENSITY, "minimum": "98 %", "plasticity_index": {"at_most": "15 %"}},
                {
                    "quantity": _DENSITY,
                    "minimum": "98 %",
                    "maximum": "102 %",
                    "plasticity_index": {"above": "15 %", "at_most": "35 %"},
                },
                {
                    "quantity": _DENSITY,
                    "minimum": "95 %",
                    "maximum": "100 %",
                    "plasticity_index": {"above": "35 %"},
                },
                {"quantity": _MOISTURE, "minimum": "0 %", "plasticity_index": {"above": "15 %"}},
            ],
        ),
        _draft(
            "relative-density",
            "Clean sand, relative density",
            source="USACE EM 1110-2-1911 and practice of dams: at least 70 %",
            certainty="from_memory",
            criteria=[
                {"quantity": "relative_density", "minimum": "70 %", "fines": {"at_most": "12 %"}},
                {
                    "quantity": "relative_density",
                    "minimum": "80 %",
                    "fines": {"at_most": "12 %"},
                    "statistic": "average_with_minimum",
                },
            ],
        ),
        _draft(
            "dam-core",
            "Dam core, wet of optimum",
            source="USACE EM 1110-2-1911 and the Earth Manual: 95 to 98 % of D698, moisture by design",
            certainty="from_memory",
            oven_required=True,
            rounding=_WHOLE_PERCENT,
            criteria=[
                {"quantity": _DENSITY, "minimum": "95 %", "zone": "core", "reference_methods": ["D698"]},
                {
                    "quantity": _MOISTURE,
                    "minimum": "-1 %",
                    "maximum": "3 %",
                    "zone": "core",
                    "reference_methods": ["D698"],
                },
                {"quantity": "lift_thickness", "maximum": "8 in", "zone": "core"},
            ],
            retest={"distance": "10 ft", "passing_retests": 1, "closed_by": "engineer"},
        ),
        _draft(
            "trench",
            "Trench backfill: pipe zone and above",
            source="common practice; figures differ from owner to owner",
            certainty="common_practice",
            criteria=[
                {"quantity": _DENSITY, "minimum": "90 %", "reference_methods": _MODIFIED},
                {"quantity": _DENSITY, "minimum": "95 %", "depth_to": "2 ft", "reference_methods": _MODIFIED},
                {"quantity": _DENSITY, "minimum": "90 %", "zone": "pipe-zone", "reference_methods": _MODIFIED},
                {"quantity": "maximum_particle", "maximum": "0.75 in", "zone": "pipe-zone"},
                {"quantity": "lift_thickness", "maximum": "6 in", "zone": "pipe-zone"},
            ],
            retest={"passing_retests": 1, "closed_by": "supervisor"},
        ),
    )
}
