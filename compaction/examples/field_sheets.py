"""Sheets of many tests, through the whole evaluation: figures, results, and what the print says of the curve."""

from decimal import Decimal

from compaction.calculations import density
from compaction.examples import evaluating
from compaction.examples.check import EXPLAINED, Check
from compaction.examples.figures import BrokenExample, si
from compaction.examples.topic import Example, Topic
from compaction.facts import Finding, Outcome, RoundingStep

_GAUGE_KEYS = ("mode", "depth")


def run_field_sheet(example: Example, check: Check) -> None:
    """Every test of the sheet, judged by its reference and the criteria."""
    rounding = evaluating.rounding(example)
    about_print: dict[str, None] = {}
    differ = []
    for place, test in enumerate(example["tests"], 1):
        key, label = f"tests[{place}]", str(test["label"])
        outcome = _outcome(example, test, key, rounding)
        for name, figure in (("dry_density", "dry_density_kgm3"), ("percent_compaction", "percent_compaction_judged")):
            if text := test["printed"].get(name):
                explained = EXPLAINED if test.get("printed_is") == "unrounded" else check.where_print_differs
                check.figure(f"{label}: {name}", text, outcome.figures.get(figure), otherwise=explained)
        _results(test, label, outcome, check)
        findings = [one for one in outcome.findings if _speaks_of_the_print(one)]
        about_print |= dict.fromkeys(one.code for one in findings)
        if example["kind"] == "published-with-error":
            check.same(f"{label}: findings", example["findings"], [one.code for one in findings])
        _other_curves(example, test, label, outcome, check)
        if "told_apart_by" in example:
            unrounded = _outcome(example, test, key, rounding[1:]).figures.get("percent_compaction_judged")
            if unrounded != si(test["printed"]["percent_compaction"], f"{key}.printed.percent_compaction"):
                differ.append(label)
    check.found(about_print)
    if "told_apart_by" in example:
        check.same("tests that tell the rounding apart", example["told_apart_by"], differ)


def _speaks_of_the_print(finding: Finding) -> bool:
    return finding.severity != "information" and finding.code.startswith(("printed-", "another-reference"))


def _results(test: Example, label: str, outcome: Outcome, check: Check) -> None:
    if "result" in test:
        check.same(f"{label}: result", test["result"], outcome.result)
    if "fails" in test:
        check.same(f"{label}: fails", test["fails"], [one.kind for one in outcome.criteria if one.result == "fail"])
    if "printed_is" in test:
        notes = [step.note.partition(":")[0] for step in outcome.steps if step.id == "printed-percent"]
        check.same(f"{label}: the print is", test["printed_is"], " ".join(notes))


def _other_curves(example: Example, test: Example, label: str, outcome: Outcome, check: Check) -> None:
    for name, text in test.get("recomputed", {}).items():
        code = name.removeprefix("percent_compaction_with_")
        percent = density.percent_compaction(
            dry_density_kgm3=outcome.figures["dry_density_kgm3"],
            maximum_dry_density_kgm3=evaluating.reference(code, example["references"][code]).maximum_dry_density_kgm3,
        )
        check.figure(f"{label}: {name}, recomputed", text, percent)
    if "reference_found" in example:
        fits = [str(one.numbers.get("fits", "")) for one in outcome.findings if one.code == "another-reference-fits"]
        check.same(f"{label}: curve that fits", example["reference_found"], " ".join(fits))


def _outcome(example: Example, test: Example, key: str, rounding: tuple[RoundingStep, ...]) -> Outcome:
    references = {code: evaluating.reference(code, figures) for code, figures in example.get("references", {}).items()}
    if "maximum_dry_density" in test:
        references["of the test"] = evaluating.reference("of the test", test)
    code = str(test.get("reference", "of the test"))
    if code not in references:
        raise BrokenExample(f"{key}.reference", f"no reference {code!r} is given.", "Give it under `references`.")
    names = {
        "nuclear_gauge": ("wet_density", "water_content", "water"),
        "transcribed": ("dry_density", "water_content"),
    }
    readings = {name: example[name] for name in _GAUGE_KEYS if name in example}
    readings |= {name: test[name] for name in names[example["method"]] if name in test}
    body = {"method": example["method"], "readings": readings, "printed": test["printed"]}
    return evaluating.evaluate(
        body,
        reference=references[code],
        criteria=example.get("criteria", {}),
        rounding=rounding,
        siblings=tuple(references.values()),
    )


def run_whole_chain(example: Example, check: Check) -> None:
    """One hole under several oversize rules and fractions of the water content."""
    given = example["inputs"]
    common: set[str] | None = None
    worked: dict[str, Decimal] = {}
    for result in example["results"]:
        body = {
            "method": example["method"],
            "readings": example["readings"],
            "water_contents": [{"method": "oven", "fraction": result["fraction"], "value": given["water_content"]}],
            "oversize": {
                "sieve": given["oversize_sieve"],
                "basis": "this_hole",
                "percent": given["oversize"],
                "bulk_specific_gravity": given["oversize_bulk_specific_gravity"],
                "water_content": given["oversize_water_content"],
            },
            "maximum_particle": given["maximum_particle"],
        }
        curve = {"maximum_dry_density": given["maximum_dry_density"], "optimum_water_content": "13.0 %"}
        outcome = evaluating.evaluate(
            body,
            reference=evaluating.reference("P-1", curve, oversize_rule=result["oversize_rule"]),
            criteria={"percent_compaction": {"minimum": given["minimum_percent_compaction"]}},
            water_density_kgm3=si(given["water_density"], "inputs.water_density"),
        )
        what = f"{result['oversize_rule']}, water of the {result['fraction']}"
        check.figure(f"{what}: percent", result["percent_compaction"], outcome.figures.get("percent_compaction"))
        check.same(f"{what}: result", result["result"], outcome.result)
        codes = {finding.code for finding in outcome.findings}
        common = codes if common is None else common & codes
        worked |= {"hole_volume": outcome.figures["hole_volume_m3"]}
        if result["fraction"] == "total":
            worked["dry_density"] = outcome.figures["dry_density_kgm3"]
        if result["oversize_rule"] == "correct_maximum":
            worked["corrected_maximum_dry_density"] = outcome.figures["maximum_dry_density_kgm3"]
    check.found(sorted(common or ()))
    check.expected(worked)


FIELD_SHEET = Topic(
    code="field_sheet",
    title="A sheet of field tests, through the whole evaluation",
    run=run_field_sheet,
    needs=("method", "tests"),
    keys={
        "method": "`nuclear_gauge` or `transcribed`",
        "mode": "mode of the gauge",
        "depth": "depth of the gauge's rod",
        "rounding": "steps of the rounding rule with `quantity`, `increment`, `unit`",
        "criteria": "a quantity and its `minimum`, `maximum`",
        "references": "a code and its `maximum_dry_density`, `optimum_water_content`",
        "reference_named": "curve that the sheet cites",
        "reference_found": "curve that its percentages were computed with, to be found",
        "told_apart_by": "labels of the tests whose percentage would differ without the first step of the rounding",
        "tests": "tests with `label`, `reference` (or `maximum_dry_density` and `optimum_water_content` of their own), "
        "`wet_density` and `water_content` or `water`, or `dry_density` and `water_content`; `printed` (`dry_density`, "
        "`percent_compaction`), and where they are known `result`, `fails` (kinds), `printed_is` (rounded, unrounded, "
        "neither), `recomputed` (`percent_compaction_with_CODE`), `retest_of`, `document`",
    },
)
WHOLE_CHAIN = Topic(
    code="whole_chain",
    title="One hole under several rules, through the whole evaluation",
    run=run_whole_chain,
    needs=("method", "readings", "inputs", "results"),
    keys={
        "method": "code of the method",
        "readings": "its readings, as in a test that is posted",
        "results": "rules with `oversize_rule`, `fraction` (of the water content), `percent_compaction`, `result`; "
        "`findings` are those that come with every one",
    },
    inputs={
        "water_content": "by the oven",
        "maximum_particle": "largest particle",
        "maximum_dry_density": "of the control fraction",
        "oversize_sieve": "code of the sieve, as `no4`",
        "oversize": "percent of the dry mass",
        "oversize_bulk_specific_gravity": "of the oversize",
        "oversize_water_content": "of the oversize",
        "water_density": "density of water",
        "minimum_percent_compaction": "criterion",
    },
    figures={
        "hole_volume": "volume of the hole",
        "dry_density": "with the water content of the whole",
        "corrected_maximum_dry_density": "maximum of the whole material",
    },
)
