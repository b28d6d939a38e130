"""Lots that others printed, declared and posted test by test, come out with the figures printed."""

import tomllib
import uuid
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from compaction.actions import specifications
from compaction.calculations.quantities import to_si
from tests.builders import SPECIFICATION, Site
from tests.lots.conftest import Lots, add_reference

FILE = Path(__file__).resolve().parents[2] / "fixtures" / "worked_examples" / "statistics.toml"
EXAMPLES = {example["id"]: example for example in tomllib.loads(FILE.read_text(encoding="utf-8"))["example"]}
D = Decimal


@pytest.fixture(autouse=True)
def no_rounding(site: Site) -> None:
    """The site's specification without its rounding of densities: printed lots have more digits."""
    body = {**SPECIFICATION, "rounding": [], "reason": "figures as printed"}
    specifications.issue(opened=site.opened("m.dale"), code="S-1", rev=2, body=body, now=site.now)
    seen = {"reason": "seen"}
    specifications.approve(opened=site.opened(), code="S-1", rev=2, client_uuid=uuid.uuid4(), body=seen, now=site.now)


def posted(on_site: Lots, name: str, *rules: dict[str, Any], densities: bool = False) -> dict[str, Decimal]:
    """Declare the lot, post its tests in order, and give the figures of its first rule."""
    example = EXAMPLES[name]
    on_site.declare(title=name, rules=[{"quantity": "percent_compaction", **rule} for rule in rules])
    texts = example["dry_densities"] if densities else example["values"]
    for number, text in enumerate(texts):
        on_site.post(text, minutes=60 + number, label=str(number), reference="P-927" if densities else "P-100")
    return on_site.figures()


def met(found: Decimal, printed: str) -> None:
    """The figure rounds to what is printed, a tie either way."""
    assert abs(found - D(printed)) <= D(1).scaleb(D(printed).as_tuple().exponent) / 2, (found, printed)  # type: ignore[arg-type]


def within(**changes: Any) -> dict[str, Any]:
    return {"statistic": "percent_within_limits", "percent_within": "90 %", "minimum": "96.3 %", **changes}


def test_st_01_with_the_rounding_of_the_slide_and_without(on_site: Lots) -> None:
    printed, recomputed = EXAMPLES["ST-01"]["printed"], EXAMPLES["ST-01"]["recomputed"]
    rounded = {"round_standard_deviation": "0.1 %", "round_quality_index": "0.0001", "within_by": "table"}
    figures = posted(on_site, "ST-01", within(**rounded), within())
    met(figures["mean"], printed["mean"])
    assert figures["standard_deviation"] == D(printed["standard_deviation"])
    assert figures["lower_quality_index"] == D(printed["lower_index_from_printed"])
    assert figures["statistic"] == D(printed["tabulated_from_printed"])
    exact = on_site.figures(rule=1)
    met(exact["standard_deviation"], recomputed["standard_deviation"])
    met(exact["lower_quality_index"], recomputed["lower_index"])
    met(exact["statistic"], recomputed["percent_within"])
    assert on_site.story().row.result == "not_met"


def test_st_03_density_by_the_table(on_site: Lots) -> None:
    printed = EXAMPLES["ST-03"]["printed"]
    rounded = {"round_standard_deviation": "0.01 %", "round_quality_index": "0.0001", "within_by": "table"}
    figures = posted(on_site, "ST-03", within(**rounded))
    met(figures["mean"], printed["mean"])
    assert figures["standard_deviation"] == D(printed["standard_deviation"])
    assert figures["lower_quality_index"] == D(printed["lower_index_from_printed"])
    assert figures["statistic"] == D(printed["tabulated_from_printed"])


def test_st_05_a_lot_of_which_every_test_passes(on_site: Lots) -> None:
    recomputed = EXAMPLES["ST-05"]["recomputed"]
    figures = posted(
        on_site,
        "ST-05",
        within(minimum="95 %", percent_within="96 %"),
        {"statistic": "each", "minimum": "95 %"},
        {"statistic": "moving_average", "of": 4, "minimum": "96.2 %"},
        {"statistic": "mean_minus_k_s", "minimum": "95.5 %", "k_table": "producer_risk_10"},
    )
    met(figures["mean"], recomputed["mean"])
    met(figures["standard_deviation"], recomputed["standard_deviation"])
    met(figures["lower_quality_index"], recomputed["lower_index"])
    met(figures["statistic"], recomputed["percent_within"])
    assert figures["standard_deviation"] > 1
    moving = on_site.figures(rule=2)
    averages = [D(text) for text in recomputed["moving_average_of_4"]]
    assert (moving["lowest_moving_average"], moving["highest_moving_average"]) == (min(averages), max(averages))
    results = [verdict["result"] for verdict in on_site.story().content["verdicts"]]
    assert results == ["not_met", "met", "met", "met"]
    assert on_site.story().content["failing"] == []


def test_st_05_from_its_densities_unrounded(on_site: Lots) -> None:
    recomputed = EXAMPLES["ST-05-UNROUNDED"]["recomputed"]
    add_reference(on_site.site, "P-927", f"{EXAMPLES['ST-05-UNROUNDED']['maximum']} pcf")
    rules = [
        within(minimum="95 %"),
        {"statistic": "average_with_minimum", "quantity": "dry_density", "minimum": "89 pcf"},
    ]
    figures = posted(on_site, "ST-05-UNROUNDED", *rules, densities=True)
    for name, printed in (
        ("mean", "mean"),
        ("standard_deviation", "standard_deviation"),
        ("statistic", "percent_within"),
    ):
        met(figures[name], recomputed[printed])
    met(figures["lower_quality_index"], recomputed["lower_index"])
    texts = [D(text) for text in EXAMPLES["ST-05-UNROUNDED"]["dry_densities"]]
    assert on_site.figures(rule=1)["mean"] == pytest.approx(sum(texts) / len(texts), abs=D("1e-8"))
    assert to_si(D(1), "pcf") > 16


def test_st_05_first_five_and_st_06_below_the_limit(on_site: Lots) -> None:
    figures = posted(on_site, "ST-05-FIRST", within(minimum="95 %"))
    met(figures["statistic"], EXAMPLES["ST-05-FIRST"]["recomputed"]["percent_within"])


def test_st_06_a_negative_index_gives_a_hundred_less_the_table(on_site: Lots) -> None:
    recomputed = EXAMPLES["ST-06"]["recomputed"]
    figures = posted(on_site, "ST-06", within(minimum="96.5 %", within_by="table"))
    met(figures["lower_quality_index"], recomputed["lower_index"])
    assert figures["statistic"] == D(recomputed["tabulated_lower"])


def test_st_03_voids_between_two_limits(on_site: Lots) -> None:
    """Two limits; the quantity plays no part in the arithmetic, so that 95 is added to every figure."""
    example = EXAMPLES["ST-03-VOIDS"]
    on_site.declare(rules=[{"quantity": "percent_compaction", **within(minimum="97 %", maximum="100 %")},
                           {"quantity": "percent_compaction",
                            **within(minimum="97 %", maximum="100 %", within_by="table")}])  # fmt: skip
    for number, text in enumerate(example["values"]):
        on_site.post(str(D(text) + 95), minutes=60 + number, label=str(number))
    met(on_site.figures()["statistic"], example["recomputed"]["percent_within"])
    table = on_site.figures(rule=1)
    assert table["within_lower_limit_pct"] == D(example["printed"]["tabulated_lower"])
    assert table["within_upper_limit_pct"] == D(example["printed"]["tabulated_upper"])
    assert table["statistic"] == D(example["printed"]["tabulated_both"])
