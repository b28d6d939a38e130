"""A reference looked at as a whole: its points, every fit beside the reported values, its sample and its siblings."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from compaction.calculations import curve_checks, curve_fits, moisture_density_curve
from compaction.calculations.curve_fits import FitTable
from compaction.calculations.laboratory_methods import METHODS, LaboratoryMethod, method_code
from compaction.facts import Finding, ReferenceFacts, SoilFacts
from compaction.records.bench_work import WorkedPoint
from compaction.records.reference import ReferenceRecord
from compaction.records.sample import on_sample

#: Reference and sample further apart than this are of two determinations (common practice, no source).
SPECIFIC_GRAVITY_APART = Decimal("0.03")


@dataclass(frozen=True)
class Sibling:
    """Another reference of the project in its newest revision."""

    code: str
    soil: str
    facts: ReferenceFacts


@dataclass(frozen=True)
class Review:
    """What there is to see of a revision. `fits` is None where no points were entered."""

    points: tuple[WorkedPoint, ...]
    fits: FitTable | None
    findings: tuple[Finding, ...]
    method: LaboratoryMethod | None
    sample: str
    soil: SoilFacts | None


def review(
    record: ReferenceRecord,
    *,
    soil: SoilFacts | None = None,
    sample_specific_gravity: Decimal | None = None,
    siblings: Sequence[Sibling] = (),
    at_percent: Decimal = Decimal(95),
) -> Review:
    """The revision with what its figures say against each other; of other kinds than a curve only what they found."""
    facts = on_sample(record.facts, soil)
    method = METHODS.get(method_code(facts.method))
    findings = [*record.findings, *_points_on_sample(record.facts, facts)]
    if record.sample and soil is None:
        sentence = f"The project has no sample {record.sample} yet. Enter it, or correct its code."
        findings.append(Finding("sample-unknown", "information", sentence, {"sample": record.sample}))
    if facts.kind != "moisture_density":
        return Review(record.points, None, tuple(findings), method, record.sample, soil)
    figures = {
        "maximum_dry_density_kgm3": facts.maximum_dry_density_kgm3,
        "optimum_water_content_pct": facts.optimum_water_content_pct,
    }
    findings += curve_checks.shape_findings(facts.points, **figures)
    findings += curve_checks.saturation_findings(
        facts.points,
        **figures,
        specific_gravity=facts.specific_gravity,
        measured=facts.specific_gravity_measured,
    )
    findings += _gravity(record.facts, sample_specific_gravity)
    fits = None
    if facts.points:
        fits = curve_fits.compare(facts.points, **figures, at_percent=at_percent)
        findings += fits.findings
    alike = [(one.code, one.facts.maximum_dry_density_kgm3, one.facts.optimum_water_content_pct)
             for one in siblings if _same_soil(record, soil, one)]  # fmt: skip
    symbol = soil.group_symbol if soil else ""
    findings += curve_checks.sibling_findings(**figures, siblings=alike, group_symbol=symbol)
    return Review(record.points, fits, tuple(findings), method, record.sample, soil)


def _same_soil(record: ReferenceRecord, soil: SoilFacts | None, other: Sibling) -> bool:
    """Whether another curve claims the same soil by one effort: the same sample, or the same words for the soil."""
    mine, its = method_code(record.facts.method), method_code(other.facts.method)
    effort = mine.split("-")[0] == its.split("-")[0] if mine and its else record.facts.method == other.facts.method
    if other.facts.kind != "moisture_density" or not effort:
        return False
    if soil is not None and other.facts.soil is not None and soil.sample == other.facts.soil.sample:
        return True
    return bool(record.soil.strip()) and record.soil.strip().casefold() == other.soil.strip().casefold()


def _points_on_sample(stated: ReferenceFacts, known: ReferenceFacts) -> list[Finding]:
    """Points above the zero-air-voids line where only the sample has a specific gravity, which the record can't see."""
    if stated.specific_gravity is not None or known.specific_gravity is None or not known.points:
        return []
    found = moisture_density_curve.propose(known.points, specific_gravity=known.specific_gravity).findings
    return [one for one in found if one.code == "point-above-zero-air-voids"]


def _gravity(facts: ReferenceFacts, of_sample: Decimal | None) -> list[Finding]:
    own = facts.specific_gravity
    if own is None or of_sample is None or abs(own - of_sample) <= SPECIFIC_GRAVITY_APART:
        return []
    sentence = (
        f"The reference goes by a specific gravity of {own}, its sample has {of_sample}. Which one holds? "
        "That of the reference is used."
    )
    return [Finding("specific-gravity-differs-from-sample", "validity", sentence)]
