"""Every shipped example, worked by the product's own runner: what `check_examples` would print."""

import copy
from collections import Counter
from decimal import Decimal
from typing import Any

import pytest

from compaction.calculations import zero_air_voids
from compaction.calculations.calibration import water_density_kgm3
from compaction.calculations.methods import METHODS
from compaction.calculations.quantities import to_si
from compaction.calculations.water_density import water_density_at_kgm3
from compaction.examples import table
from compaction.examples.check import DEVIATES, WRONG_PRINT, Check, Checked
from compaction.examples.figures import met
from compaction.examples.topics import TOPICS, described
from tests.worked_examples.example_files import FOLDER, contents, examples, reports

D = Decimal
REPORTS = reports()
CHECKED = {one.id: one for report in REPORTS for one in report.checked}
#: names of the numbered examples that the engineering was built against; the parts of one carry it in front
WANTED = """
SC-01 SC-02 SC-04 SC-05 SC-07 SC-08 SC-09 CAL-01 CAL-02 CAL-04 MC-01 MC-02 MC-04 MC-05 MC-07 OS-01 OS-03 OS-04
OS-05 PR-01 PR-02 PR-03 PR-05 PR-07 PR-08 PR-10 PR-12 FC-01 NG-01 NG-02 NG-03 NG-04 NG-05 BB-01 TP-01 RD-02
RD-03 RD-04 RD-06 HF-01 TB-01 TB-02 TB-03 TB-04 TB-05 ST-01 ST-03 ST-04 ST-05 ST-06 DS-01 RT-01 RT-05 PC-01
PC-02 PC-03 PC-05 PC-CHAIN C1 C3 S1 S3 S4 S9 S11 Q3 Q4 P1 V1 V2 V4 V5 J1 J3 J4 J6 J7 U1 G1
"""


@pytest.mark.parametrize("report", REPORTS, ids=lambda report: report.name)
def test_every_file_can_be_read(report: Any) -> None:
    assert [f"{problem.where}: {problem.sentence}" for problem in report.problems] == []
    assert report.checked


@pytest.mark.parametrize("checked", CHECKED.values(), ids=lambda checked: checked.id)
def test_every_example_is_met(checked: Checked) -> None:
    assert checked.verdict != DEVIATES, table.of_one(checked)


def test_no_example_is_missing_or_stands_twice() -> None:
    ids = Counter(example["id"] for content in contents() for example in content["example"])
    assert [name for name, count in ids.items() if count > 1] == []
    assert set(ids) == set(CHECKED)
    assert [name for name in WANTED.split() if not any(one == name or one.startswith(f"{name}-") for one in ids)] == []


def test_every_wrong_print_is_found_by_name() -> None:
    wrong = [
        example["id"]
        for content in contents()
        for example in content["example"]
        if example["kind"] == "published-with-error"
    ]
    assert len(wrong) >= 17
    for name in wrong:
        assert CHECKED[name].verdict == "error found"
        assert CHECKED[name].findings
    assert sum(line.verdict == WRONG_PRINT for name in wrong for line in CHECKED[name].lines) > 20


def test_sources_and_reasons_are_given() -> None:
    for content in contents():
        for example in content["example"]:
            assert len(example["source"]) > 15 or example["kind"] == "constructed", example["id"]
            assert len(example["tolerance_reason"]) > 10, example["id"]


def figures(example: dict[str, Any]) -> list[tuple[dict[str, Any], str]]:
    """Every place of an example where a figure stands as text with a unit."""
    found: list[tuple[dict[str, Any], str]] = []
    for part in ("printed", "recomputed"):
        stated = example.get(part, {})
        found += [(stated, name) for name, value in stated.items() if isinstance(value, str) and "d" not in value]
    return found


def test_a_figure_changed_in_its_last_digits_deviates() -> None:
    """Every figure of every example in turn: a comparison that could not fail would show here."""
    changed = 0
    for content in contents():
        topic = TOPICS[content["topic"]]
        for example in content["example"]:
            if example["kind"] == "published-with-error":
                continue
            for place, _ in enumerate(figures(example)):
                spoilt = copy.deepcopy(example)
                stated, name = figures(spoilt)[place]
                number, _, unit = stated[name].partition(" ")
                step = D(1).scaleb(int(D(number).as_tuple().exponent)) * 7
                stated[name] = f"{D(number) + step} {unit}".strip()
                check = Check(spoilt)
                topic.run(spoilt, check)
                assert check.finish().verdict == DEVIATES, (example["id"], name)
                changed += 1
    assert changed > 90


def test_the_readme_describes_every_topic_as_it_is() -> None:
    written = (FOLDER / "README.md").read_text(encoding="utf-8")
    assert written.endswith(described()), "write the output of compaction.examples.topics.described() into README.md"


def test_every_name_that_the_readme_gives_is_used_by_some_example() -> None:
    used: dict[tuple[str, str], set[str]] = {}
    for content in contents():
        for example in content["example"]:
            stated = set(example.get("printed", {})) | set(example.get("recomputed", {}))
            for part, names in (
                ("keys", set(example)),
                ("inputs", set(example.get("inputs", {}))),
                ("figures", stated),
            ):
                used.setdefault((content["topic"], part), set()).update(names)
    for topic in TOPICS.values():
        for part in ("keys", "inputs", "figures"):
            assert set(getattr(topic, part)) - used[topic.code, part] == set(), f"{topic.code}, {part}"


def test_each_method_has_a_worked_example() -> None:
    elsewhere = {"sand_cone", "nuclear_gauge", "transcribed"}  # topics sand_cone_sheet and field_sheet
    assert set(METHODS) - {example["method"] for example in examples("in_place")} == elsewhere


def test_a_print_is_met_only_within_half_its_last_digit() -> None:
    for worked, expected in (("95.25", True), ("95.35", True), ("95.2499999", False), ("95.3500001", False)):
        assert met("95.3 %", D(worked)) is expected, worked


def test_the_density_of_water_agrees_with_the_table_for_moulds() -> None:
    for tenths in range(200, 301, 5):
        degc = D(tenths) / 10
        apart = water_density_kgm3(temperature_degc=degc) - water_density_at_kgm3(temperature_degc=degc)
        assert abs(apart) < D("0.05"), degc


def test_the_optima_of_real_curves_do_not_sit_at_one_saturation() -> None:
    """FC-01: a check that the optimum lies at 75 to 95 % saturation would refuse genuine curves; there is none."""
    peaks = next(example["peaks"] for example in examples("family_of_curves") if "peaks" in example)
    saturations = [
        zero_air_voids.saturation_pct(
            dry_density_kgm3=to_si(D(maximum), "pcf"),
            water_content_pct=D(optimum),
            specific_gravity=D("2.70"),
            water_density_kgm3=to_si(D("62.4"), "pcf"),
        )
        for maximum, optimum in peaks
    ]
    assert round(min(saturations)) == 57
    assert round(max(saturations)) == 90
