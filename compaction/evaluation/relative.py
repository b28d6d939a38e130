"""The material in place between the index densities of its sand: relative density, which is no percent compaction.

Percent compaction of a test on index densities is worked out only where the specification asks for that quantity, and
then of the maximum index density; a remark says so.
"""

from typing import Final

from compaction.calculations import density, relative_density
from compaction.calculations.errors import CalculationError
from compaction.evaluation import selection
from compaction.evaluation.work import NO_CRITERION, Work
from compaction.facts import Finding, ReferenceFacts

INDEX_DENSITY: Final = "index_density"


def lacks_index_densities(work: Work, reference: ReferenceFacts) -> None:
    """Say why a test on any other reference has no relative density."""
    work.lacks(
        NO_CRITERION,
        f"Relative density needs a minimum and a maximum index density; the reference {reference.code} has none. Name "
        "index densities (ASTM D4253, D4254).",
        "relative_density",
    )


def work_out(work: Work, reference: ReferenceFacts) -> None:
    """Fill relative density from index densities, and percent compaction where a criterion asks for it."""
    lowest = reference.minimum_index_density_kgm3
    assert lowest is not None  # the record has both ends
    highest = work.rounded("maximum", reference.maximum_dry_density_kgm3, "maximum_index_density_kgm3")
    work.figures["minimum_index_density_kgm3"] = lowest
    work.figures["maximum_index_density_kgm3"] = highest
    work.lacks(
        NO_CRITERION,
        f"The index densities {reference.code} have no optimum water content to compare with.",
        "water_content_deviation",
    )
    asked = _percent_asked(work)
    if not asked:
        work.lacks(NO_CRITERION, "On index densities no percent compaction is worked out.", "percent_compaction")
    dry = work.figures.get("dry_density_kgm3")
    if dry is None:
        return
    try:
        relative = relative_density.relative_density_pct(
            dry_density_kgm3=dry,
            minimum_index_density_kgm3=lowest,
            maximum_index_density_kgm3=highest,
            sheet=work.sheet,
        )
    except CalculationError as error:
        work.note(error)
        work.lacks(NO_CRITERION, f"Not worked out: {error.sentence}", "relative_density", "percent_compaction")
        return
    work.figures["relative_density_pct"] = relative
    work.findings.extend(relative_density.relative_density_findings(relative_density_pct=relative))
    if asked:
        percent = density.percent_compaction(dry_density_kgm3=dry, maximum_dry_density_kgm3=highest, sheet=work.sheet)
        work.figures["percent_compaction"] = percent
        work.figures["percent_compaction_judged"] = work.rounded(
            "percent_compaction", percent, "percent_compaction_judged"
        )
        work.findings.append(
            Finding(
                "percent-of-maximum-index-density",
                "information",
                f"Percent compaction is of the maximum index density of {reference.code}, as the specification asks "
                "for that quantity; it is not the relative density.",
            )
        )


def _percent_asked(work: Work) -> bool:
    chosen = selection.chosen(work.inputs, oversize_pct=work.oversize_pct)
    return any(one.quantity == "percent_compaction" for one in (*chosen.criteria, *chosen.depth_wanted))
