"""References from the bench's masses, and the classification of soils: as the records work them."""

from decimal import Decimal

from compaction.calculations import classification, gradation
from compaction.calculations.gradation import SIEVES, Passing
from compaction.calculations.plasticity import Limits, fines_symbol
from compaction.examples.check import Check
from compaction.examples.figures import BrokenExample, si
from compaction.examples.topic import Example, Topic
from compaction.records import curve_review, reference
from compaction.records.sample_findings import reported_findings

_FIGURES = {
    "wet_density": "wet_density_kgm3",
    "water_content": "water_content_pct",
    "dry_density": "dry_density_kgm3",
}


def run_curve(example: Example, check: Check) -> None:
    """Each specimen with its printed figures, then what the record finds, then the fits beside the reported peak."""
    record = reference.read(example["reference"], code="P-1", rev=1)
    review = curve_review.review(record)
    check.found(review.findings)
    for point, stated in zip(review.points, example["points"], strict=True):
        for name, text in stated.items():
            if name == "cans":
                for place, (one, worked) in enumerate(zip(text, point.can_water_contents_pct, strict=True), 1):
                    label = f"point {point.number}, can {place}"
                    check.figure(label, one, worked, otherwise=check.where_print_differs)
            elif name not in _FIGURES:
                raise BrokenExample(f"points.{name}", "is not worked out.", f"Use one of {', '.join(_FIGURES)}, cans.")
            else:
                label = f"point {point.number}, {name.replace('_', ' ')}"
                check.figure(label, text, getattr(point, _FIGURES[name]), otherwise=check.where_print_differs)
    within = example.get("fits_within", {})
    if not within:
        return
    if review.fits is None:
        raise BrokenExample("reference.points", "are missing.", "Without points there is no fit.")
    row = next((one for one in review.fits.rows if one.fit == within.get("fit")), None)
    if row is None:
        known = ", ".join(one.fit for one in review.fits.rows)
        raise BrokenExample("fits_within.fit", "no such fit is made.", f"Use one of {known}.")
    for name, worked in (
        ("optimum_water_content", row.optimum_water_content_pct),
        ("maximum_dry_density", row.maximum_dry_density_kgm3),
    ):
        label = f"{row.fit}, {name.replace('_', ' ')}"
        check.figure(label, example["reference"][name], worked, within=within[name])


def run_classification(example: Example, check: Check) -> None:
    """Group symbol and name of one soil, or the symbols of fines by their limits."""
    given = example.get("inputs", {})
    for liquid, plastic, symbol in example.get("fines", []):
        limit = si(liquid, "fines")
        check.same(f"fines {liquid}, {plastic}", symbol, fines_symbol(Limits(limit, limit - si(plastic, "fines"))))
    worked: dict[str, Decimal] = {}
    sizes_mm = [si(given[name], name) * 1000 for name in ("d60", "d30", "d10") if name in given]
    if len(sizes_mm) == 3:
        d60, d30, d10 = sizes_mm
        worked["uniformity"] = gradation.uniformity_coefficient(d60_mm=d60, d10_mm=d10)
        worked["curvature"] = gradation.curvature_coefficient(d60_mm=d60, d30_mm=d30, d10_mm=d10)
    found = _classified(example, worked)
    if found is not None:
        check.found(reported_findings(example.get("sheet_symbol", ""), example.get("sheet_name", ""), found))
        if "group_symbol" in example:
            check.same("group symbol", example["group_symbol"], found.group_symbol)
        if "group_name" in example:
            check.same("group name", example["group_name"], found.group_name)
    check.expected(worked)


def _classified(example: Example, worked: dict[str, Decimal]) -> classification.Classification | None:
    given = example.get("inputs", {})
    limits = _limits(example)
    if "gradation" in example:
        points = [
            *(
                Passing(SIEVES[sieve][1], si(text, f"gradation.{sieve}"))
                for sieve, text in example["gradation"].items()
            ),
            *(Passing(si(size, "sizes") * 1000, si(text, "sizes")) for size, text in example.get("sizes", {}).items()),
        ]
        for name, value in zip(("uniformity", "curvature"), classification.coefficients(points), strict=True):
            if value is not None:
                worked[name] = value
        return classification.classify_sample(points, limits=limits)
    if "fines_content" not in given:
        return None
    return classification.classify(
        gravel_pct=si(given["gravel"], "gravel"),
        sand_pct=si(given["sand"], "sand"),
        fines_pct=si(given["fines_content"], "fines_content"),
        limits=limits,
        uniformity=worked.get("uniformity", _stated(example, "uniformity")),
        curvature=worked.get("curvature", _stated(example, "curvature")),
    )


def _limits(example: Example) -> Limits:
    given = example.get("inputs", {})
    if "liquid_limit" not in given:
        return Limits()
    liquid = si(given["liquid_limit"], "liquid_limit")
    dried = si(given["oven_dried"], "oven_dried") if "oven_dried" in given else None
    plasticity = liquid - si(given["plastic_limit"], "plastic_limit")
    return Limits(liquid, plasticity, liquid_limit_oven_dried_pct=dried)


def _stated(example: Example, name: str) -> Decimal | None:
    text = example.get("coefficients", {}).get(name)
    return None if text is None else Decimal(text)


LABORATORY_CURVE = Topic(
    code="laboratory_curve",
    title="A reference from the bench's masses",
    run=run_curve,
    needs=("reference", "points"),
    keys={
        "reference": "the reference as it is sent: method, reported values, mould, points with masses and cans",
        "points": "for each point what is printed: `wet_density`, `water_content`, `dry_density`, `cans`",
        "fits_within": "a `fit`; how far off its `maximum_dry_density` and `optimum_water_content` may lie",
    },
)
SOIL_CLASSIFICATION = Topic(
    code="soil_classification",
    title="Classification by ASTM D2487",
    run=run_classification,
    keys={
        "gradation": "sieve and percent passing; or fractions below",
        "sizes": "further sizes and the percent that is finer",
        "coefficients": "`uniformity` and `curvature` where no sizes are given",
        "group_symbol": "the symbol that must come",
        "group_name": "the name that must come",
        "sheet_symbol": "symbol on a sheet, where it is held against the figures",
        "sheet_name": "name on a sheet, where it is held against the figures",
        "fines": "triples of liquid limit, plastic limit and symbol of the plasticity chart",
    },
    inputs={
        "gravel": "percent of gravel",
        "sand": "percent of sand",
        "fines_content": "percent of fines",
        "liquid_limit": "liquid limit",
        "plastic_limit": "plastic limit",
        "oven_dried": "liquid limit after oven drying",
        "d60": "size than which 60 % is finer",
        "d30": "size than which 30 % is finer",
        "d10": "size than which 10 % is finer",
    },
    figures={"uniformity": "D60 / D10", "curvature": "D30 squared over D10 and D60"},
)
