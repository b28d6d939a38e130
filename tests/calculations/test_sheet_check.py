"""Printed figures against worked ones: what agrees, what was cut off, and which slip is named."""

from decimal import Decimal

import pytest

from compaction.calculations.density_sheet import check_density_sheet, worked_figures
from compaction.calculations.errors import ImpossibleReading, ReadingError
from compaction.calculations.sheet_check import Explanation, check_figure, printed_figure

READINGS = {
    "mass_before": Decimal("6.842"),
    "mass_after": Decimal("2.871"),
    "cone_mass": Decimal("1.612"),
    "sand_bulk_density": Decimal(1412),
    "soil_wet_mass": Decimal("3.421"),
    "water_content": Decimal("12.4"),
    "maximum_dry_density": Decimal("1890.178678127"),
}


def found(**printed: str) -> list[str]:
    figures = [printed_figure(name, text) for name, text in printed.items()]
    return [finding.code for finding in check_density_sheet(READINGS, figures)]


def test_an_honest_sheet_has_no_findings() -> None:
    assert (
        found(hole_volume="1670.7 cm3", wet_density="127.8 pcf", dry_density="113.7 pcf", percent_compaction="96.4 %")
        == []
    )


@pytest.mark.parametrize(
    ("printed", "expected"),
    [
        ({"dry_density": "112.0 pcf"}, ["printed-figure-differs", "water-content-wet-basis-used-as-dry"]),
        ({"dry_density": "127.8 pcf"}, ["printed-figure-differs", "wet-density-given-as-dry"]),
        ({"hole_volume": "2812.3 cm3"}, ["printed-figure-differs", "cone-not-subtracted"]),
        ({"hole_volume": "16.707 m3"}, ["printed-figure-differs", "off-by-power-of-ten"]),
        ({"percent_compaction": "108.3 %"}, ["printed-figure-differs", "wet-density-used-for-percent"]),
        ({"percent_compaction": "96.3 %"}, ["printed-figure-truncated"]),
        ({"percent_compaction": "99.9 %"}, ["printed-figure-differs"]),
        (
            {"hole_volume": "1700 cm3", "wet_density": "125.6 pcf"},
            ["printed-figure-differs", "printed-figure-differs", "follows-earlier-error"],
        ),
        (
            {"dry_density": "113 pcf", "percent_compaction": "95.8 %"},
            ["printed-figure-truncated", "printed-figure-differs", "intermediate-rounding"],
        ),
    ],
)
def test_each_slip_is_named(printed: dict[str, str], expected: list[str]) -> None:
    assert found(**printed) == expected


def test_the_finding_carries_print_and_worked_figure() -> None:
    finding = check_figure(printed_figure("dry_density", "112.0 pcf"), worked_figures(READINGS)["dry_density"])[0]
    assert finding.numbers["printed"] == "112.0 pcf"
    assert finding.numbers["worked"].startswith("113.7")
    assert "113.7" in finding.sentence


def test_a_slip_that_only_comes_close_says_so() -> None:
    slip = Explanation("other-mass-used", Decimal("2010"), "with another mass")
    got = check_figure(printed_figure("wet_density", "2000 kg/m3"), Decimal(1700), [slip])
    assert [finding.code for finding in got] == ["printed-figure-differs", "other-mass-used"]
    assert "close to" in got[1].sentence


@pytest.mark.parametrize("text", ["112,5 pcf", "112.5 stone", "pcf", "1e2 pcf"])
def test_a_print_that_cannot_be_read(text: str) -> None:
    with pytest.raises(ReadingError):
        printed_figure("dry_density", text)


def test_a_zero_read_or_printed_is_no_reason_to_divide_by_it() -> None:
    lines = [printed_figure(name, text) for name, text in (("hole_volume", "0 cm3"), ("wet_density", "0 kg/m3"))]
    for readings in (READINGS, READINGS | {"sand_bulk_density": Decimal(0)}):
        codes = [finding.code for finding in check_density_sheet(readings, lines)]
        assert codes[-1] == "wet-density-implausible"
    with pytest.raises(ImpossibleReading):  # without any soil there is nothing to work out, and that is said
        check_density_sheet(READINGS | {"soil_wet_mass": Decimal(0)}, lines)
