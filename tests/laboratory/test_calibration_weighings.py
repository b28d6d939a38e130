"""Calibrations given as they were weighed: the value follows from the masses, with its working."""

from decimal import Decimal
from typing import Any

import pytest

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.records import apparatus

D = Decimal


def record(kind: str, quantity: str, *weighings: dict[str, str], **more: Any) -> apparatus.ApparatusRecord:
    calibration = {"quantity": quantity, "weighings": list(weighings), **more}
    body = {"kind": kind, "valid_from": "2026-05-01", "calibrations": [calibration]}
    return apparatus.read(body, serial="M-1")


def test_a_mould_by_water_is_that_of_the_published_sheet() -> None:
    """ARIZ 225b (4 December 2015), appendix A: 943.9 cm3 at 82 deg F."""
    as_weighed = {"empty": "4574.3 g", "full": "5514.7 g", "temperature": "82 degF"}
    found = record("mould", "mould_volume", as_weighed, as_weighed)
    one = found.calibrations[0]
    assert round(found.facts(rev=1).values["mould_volume"] * 1_000_000, 1) == D("943.9")
    assert (one.written, one.weighings[0].written) == ((), as_weighed), "kept as given"
    assert [step.id for step in one.weighings[0].steps] == ["mould-volume-by-water"]
    assert found.findings == ()


def test_sand_in_a_container_and_a_cone_are_worked_and_their_spread_is_looked_at() -> None:
    """(8.246 - 1.500) / 4.27 L = 1579.9; by pencil. The second repeat lies 1.5 % from the mean."""
    wide = record(
        "sand",
        "sand_bulk_density",
        {"empty": "1.5 kg", "full": "8.246 kg", "volume": "4270 cm3"},
        {"empty": "1500 g", "full": "8398 g", "volume": "4270 cm3"},
        {"empty": "1500 g", "full": "8246 g", "volume": "4270 cm3"},
    )
    assert round(wide.calibrations[0].weighings[0].value, 1) == D("1579.9")
    assert [one.code for one in wide.findings] == ["calibration-out-of-spread"]
    cone = record("sand_cone", "cone_and_plate_mass", *[{"before": "8530 g", "after": "7166.1 g"}] * 3)
    assert cone.facts(rev=1).values["cone_and_plate_mass"] == D("1.3639")


@pytest.mark.parametrize(
    ("quantity", "weighing", "more"),
    [
        ("mould_volume", {"empty": "4574.3 g", "full": "5514.7 g"}, {}),
        ("mould_volume", {"empty": "5514.7 g", "full": "4574.3 g", "temperature": "20 degC"}, {}),
        ("mould_volume", {"empty": "4574.3 g", "full": "5514.7 g", "temperature": "60 degC"}, {}),
        ("sand_bulk_density", {"empty": "1 kg", "full": "2 kg", "volume": "0 cm3"}, {}),
        ("balloon_volume", {"empty": "1 kg", "full": "2 kg", "volume": "1000 cm3"}, {}),
        ("cone_mass", {"before": "2 kg", "after": "1 kg"}, {"repeats": ["1000 g"]}),
    ],
)
def test_what_cannot_be_or_is_not_whole_is_refused(quantity: str, weighing: dict[str, str], more: Any) -> None:
    with pytest.raises((ReadingError, ReadingsError)):
        record("other", quantity, weighing, **more)
