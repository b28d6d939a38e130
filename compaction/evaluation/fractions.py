"""Both fractions of a test pit: the control fraction in place is reported beside the whole, whatever the rule is.

Percent compaction goes on being worked by the reference's oversize rule; these two figures change no result.
"""

from compaction.calculations import oversize
from compaction.calculations.errors import CalculationError
from compaction.calculations.methods import METHODS
from compaction.evaluation.material import oversize_water_content_pct
from compaction.evaluation.work import Work
from compaction.facts import Finding


def work_out(work: Work) -> None:
    """Fill dry density and water content of the control fraction where the method's standard reports them."""
    if not METHODS[work.inputs.observation.method].both_fractions:
        return
    dry, water, percent = (
        work.dry_density_unrounded_kgm3,
        work.figures.get("water_content_pct"),
        work.oversize_pct,
    )
    if dry is None or water is None:
        return  # what is awaited has been said
    if percent is None or (work.oversize_gravity is None and percent > 0):
        work.findings.append(
            Finding(
                "control-fraction-not-reported",
                "validity",
                "The standard reports the control fraction beside the whole material; the oversize or its bulk "
                "specific gravity is not given. Screen the material on the control sieve and enter both.",
            )
        )
        return
    if percent == 0:
        work.figures.setdefault("control_fraction_dry_density_kgm3", dry)
        work.figures.setdefault("control_fraction_water_content_pct", water)
        return
    assert work.oversize_gravity is not None
    stated, reference = work.inputs.observation.oversize, work.inputs.reference
    sieve = stated.sieve if stated is not None else "" if reference is None else reference.control_sieve
    known = "control_fraction_dry_density_kgm3" in work.figures
    try:
        if not known:
            work.figures["control_fraction_dry_density_kgm3"] = oversize.field_control_fraction_dry_density_kgm3(
                total_dry_density_kgm3=dry,
                oversize_pct=percent,
                bulk_specific_gravity=work.oversize_gravity,
                water_density_kgm3=work.water_density_kgm3,
                sieve=sieve,
                sheet=work.sheet,
            )
        if work.water_fraction == "control" and work.water_content_pct is not None:
            work.figures["control_fraction_water_content_pct"] = work.water_content_pct
            return
        work.figures["control_fraction_water_content_pct"] = oversize.field_control_fraction_water_content_pct(
            total_water_content_pct=water,
            oversize_water_content_pct=oversize_water_content_pct(work),
            oversize_pct=percent,
            sieve=sieve,
            sheet=work.sheet,
        )
    except CalculationError as error:
        work.note(error)
