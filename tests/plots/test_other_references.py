"""Drawings of families of curves and of references without a curve: what they say in words and hold in shapes."""

import re
from decimal import Decimal

from compaction.calculations.quantities import to_si
from compaction.facts import CurvePoint, ReferenceFacts
from compaction.plots import density_line, family_of_curves
from compaction.plots.density_line import Level, Shown
from compaction.plots.family_of_curves import OnePointMark
from compaction.plots.scale import Scale

D = Decimal
SCALE = Scale("pcf", D("0.1"))


def curve(code: str, maximum_pcf: str, optimum: str) -> ReferenceFacts:
    maximum, best = to_si(D(maximum_pcf), "pcf"), D(optimum)
    shares = [D(text) for text in ("0.75", "0.85", "0.95", "1.05", "1.15")]
    points = tuple(CurvePoint(share * best, maximum * (1 - 2 * (1 - share) ** 2)) for share in shares)
    return ReferenceFacts(code, 1, True, "T99-A", maximum, best, points=points)


MEMBERS = (curve("A", "105", "18"), curve("B", "112", "14.5"), curve("C", "119", "11"))


def words(svg: bytes) -> str:
    return re.search(r"<desc[^>]*>(.*?)</desc>", svg.decode(), re.DOTALL)[1]  # type: ignore[index]


def test_a_family_shows_every_curve_its_spine_and_the_one_point() -> None:
    point = OnePointMark(D("12.6"), to_si(D("113"), "pcf"), D("13.4"), to_si(D("114.2"), "pcf"))
    svg = family_of_curves.draw("F-1", MEMBERS, scale=SCALE, one_point=point)
    said = words(svg)
    assert "3 curves: C, B, A." in said
    assert "one point: 113.0 pcf at 12.6 %; indicated: 114.2 pcf at 13.4 %." in said
    for text in ("A: 105.0 pcf at 18 %", "line through the peaks, 0.0 % scatter", "Gs 2.7 assumed"):
        assert text in svg.decode()
    assert svg == family_of_curves.draw("F-1", MEMBERS, scale=SCALE, one_point=point)


def test_a_family_that_is_not_there_yet() -> None:
    assert "None of its curves is known yet." in family_of_curves.draw("F-1", (), scale=SCALE).decode()
    assert "make no family" in words(family_of_curves.draw("F-1", MEMBERS[:2], scale=SCALE))


def test_tests_between_their_index_densities() -> None:
    levels = [Level(to_si(D(115), "pcf"), "maximum index density"), Level(to_si(D(93), "pcf"), "minimum index density")]
    shown = [Shown(to_si(D(103), "pcf"), "fail"), Shown(to_si(D(110), "pcf"), "pass", "Test 7", chosen=True)]
    svg = density_line.draw("R-1 rev 1", levels, shown, scale=SCALE)
    assert "maximum index density: 115.0 pcf. minimum index density: 93.0 pcf. 2 tests are shown." in words(svg)
    assert "Test 7" in svg.decode()
    assert "No test stands on it yet." in words(density_line.draw("R-1", levels, (), scale=SCALE))
