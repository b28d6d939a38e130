"""A derivation as the entry form shows it before it is sent: words and figures, already in the project's units."""

from typing import Any, Final

from compaction.facts import Outcome
from compaction.queries.derivation import Derived, margin_text
from compaction.views import display
from compaction.views.advice import advice
from projects.models import Project

SHOWN: Final = (
    "dry_density_kgm3",
    "water_content_pct",
    "percent_compaction",
    "relative_density_pct",
    "water_content_deviation_pct",
    "oversize_pct",
    "hole_volume_m3",
    "saturation_pct",
    "air_voids_pct",
    "void_ratio",
)


def outcome_json(project: Project, derived: Derived) -> dict[str, Any]:
    """Everything as text; nothing here is a decision."""
    outcome = derived.outcome
    place = derived.located
    return {
        "mark": mark_of(outcome),
        "headline": headline(outcome),
        "advice": advice(project, outcome),
        "figures": [_figure(project, outcome, name) for name in SHOWN if name in outcome.figures],
        "criteria": [display.criterion_row(project, item) for item in outcome.criteria],
        "findings": [
            {"severity": finding.severity, "sentence": finding.sentence}
            for finding in outcome.findings
            if finding.severity != "hold"
        ],
        "place": " ".join(part for part in (place.station_text, place.offset_text, place.zone) if part),
        "reference": derived.reference,
        "basis_reasons": list(outcome.basis_reasons),
    }


def _figure(project: Project, outcome: Outcome, name: str) -> tuple[str, str]:
    value = outcome.figures[name]
    label, worked = display.worked(project, name, value)
    if name.endswith("_kgm3"):
        worked = display.density(project, value)
    elif name == "water_content_deviation_pct":
        worked = f"{display.percent(value, signed=True)} %"
    elif name.endswith("_pct") or name == "percent_compaction":
        worked = f"{display.percent(value)} %"
    return label, worked


def mark_of(outcome: Outcome) -> str:
    """The mark that the test would carry on its own."""
    if outcome.holds:
        return "on_hold"
    if outcome.result == "fail":
        return "fail"
    if outcome.result == "pass":
        return "provisional" if outcome.basis == "provisional" else "pass"
    return "provisional" if outcome.result == "pending" else "no_result"


def headline(outcome: Outcome) -> str:
    """ "Fails: 90.9 of 95, 4.1 short"."""
    words = display.RESULT_WORDS.get(outcome.result, outcome.result).capitalize()
    if outcome.result == "pass" and outcome.basis == "provisional":
        words = "Passes, provisionally"
    if outcome.holds:
        words += ", held"
    margin = margin_text(outcome)
    return f"{words}: {margin}" if margin else words
