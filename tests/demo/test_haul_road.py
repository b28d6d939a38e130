"""The demonstration's LandXML file reads cleanly and closes."""

from decimal import Decimal

import pytest

from compaction.demo import haul_road
from projects.geometry.alignment import Alignment
from projects.geometry.alignment_report import report
from projects.geometry.station_format import StationFormat


def test_the_file_closes_and_shows_every_kind_of_element() -> None:
    told = report(Alignment.from_plain(haul_road.content()), StationFormat(2))
    assert [row.kind for row in told.elements] == ["line", "clothoid", "arc", "clothoid", "line", "arc", "line"]
    assert max(row.misclosure or Decimal(0) for row in told.elements) < Decimal("0.001")
    assert [joint.state for joint in told.junctions] == ["smooth"] * 6
    assert float(told.length) == pytest.approx(2560.4406, abs=0.001)
    assert (told.text_start, told.text_end) == ("5+00.00", "35+60.44")
    assert [row.curve for row in told.profile] == ["", "parabola, crest", "unsymmetric parabola, sag", ""]
    assert [severity for _, severity, _ in told.remarks if severity != "information"] == []
