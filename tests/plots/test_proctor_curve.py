"""The drawing of a curve: what it says in words, and that no text of people can break it."""

import re
import subprocess
import sys
from decimal import Decimal
from xml.etree import ElementTree

import pytest

from compaction.facts import CurvePoint, ReferenceFacts
from compaction.plots import fitted_line, proctor_curve
from compaction.plots.proctor_curve import FieldPoint, Peak
from compaction.plots.scale import Scale
from compaction.register import LOOKS

D = Decimal
US = Scale("pcf", D("0.1"), "us")
SI = Scale("kN/m3", D("0.01"), "si")
POINTS = tuple(
    CurvePoint(D(water), D(dry))
    for water, dry in (("9.8", "1690"), ("12.1", "1745"), ("15.2", "1762"), ("17.9", "1712"))
)


def reference(**changes: object) -> ReferenceFacts:
    values: dict[str, object] = {
        "code": "P-1",
        "rev": 2,
        "approved": True,
        "method": "D698-A",
        "maximum_dry_density_kgm3": D("1762.03"),
        "optimum_water_content_pct": D("15"),
        "specific_gravity": D("2.7"),
        "specific_gravity_measured": True,
        "points": POINTS,
    }
    values.update(changes)
    return ReferenceFacts(**values)  # type: ignore[arg-type]


def texts(drawn: bytes) -> str:
    root = ElementTree.fromstring(drawn)
    return "\n".join(text.strip() for text in root.itertext() if text.strip())


def test_words_and_units_of_us_practice() -> None:
    window = proctor_curve.window_of(reference(), minimum_percent=D(95), deviation_from=D(-2), deviation_to=D(3))
    said = texts(proctor_curve.draw(reference(), scale=US, window=window))
    assert "Proctor P-1 rev 2, D698-A" in said
    assert "Dry density (pcf)" in said
    assert "Moisture content (% of dry mass)" in said
    assert "reported: 110.0 pcf at 15 %" in said  # 1762.03 kg/m3 / 16.018463 = 110.00
    assert "moisture −2 to +3 of optimum" in said.replace("\n", " ")
    assert "least-squares parabola through the points" in said


def test_words_and_units_of_si_practice() -> None:
    said = texts(proctor_curve.draw(reference(), scale=SI))
    assert "Compaction curve P-1 rev 2" in said
    assert "Dry unit weight (kN/m³)" in said
    assert "Water content (% of dry mass)" in said


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({}, "zero air voids, Gs 2.70 measured"),
        ({"specific_gravity": D("2.655"), "specific_gravity_measured": False}, "zero air voids, Gs 2.655 assumed"),
        ({"specific_gravity": None, "specific_gravity_measured": False}, "zero air voids, Gs 2.70 assumed"),
    ],
)
def test_the_zero_air_voids_line_says_its_specific_gravity_and_where_it_is_from(
    changes: dict[str, object], words: str
) -> None:
    assert words in texts(proctor_curve.draw(reference(**changes), scale=US))


def test_it_is_the_same_file_for_the_same_figures_and_small_and_names_no_host() -> None:
    field = [FieldPoint(D("14.1") + number % 7, D("1700") + number, mark) for number, mark in enumerate([*LOOKS] * 30)]
    first, second = (proctor_curve.draw(reference(), scale=US, field=field) for _ in range(2))
    assert first == second
    assert len(first) < 100_000
    hosts = set(re.findall(rb"https?://[^\"'\s<]+", first))
    assert hosts <= {b"http://www.w3.org/2000/svg", b"http://www.w3.org/1999/xlink"}


def test_title_and_description_tell_what_is_drawn() -> None:
    test = FieldPoint(D("15.0"), D("1601.85"), "fail", "Test 452")
    root = ElementTree.fromstring(proctor_curve.draw(reference(), scale=US, test=test))
    assert root.get("role") == "img"
    name = "{http://www.w3.org/2000/svg}"
    title, description = root.find(f"{name}title"), root.find(f"{name}desc")
    assert title is not None
    assert description is not None
    assert title.text == "Proctor P-1 rev 2, D698-A"
    assert "Test 452: 100.0 pcf at 15.0 %, fails." in str(description.text)
    assert "4 laboratory points" in str(description.text)


def test_a_corrected_maximum_is_drawn_with_its_reason() -> None:
    corrected = Peak(D("1826.1"), D("12.7"), D("18"))
    said = texts(proctor_curve.draw(reference(), scale=US, corrected=corrected)).replace("\n", " ")
    assert "corrected for 18.0 % oversize: 114.0 pcf at 12.7 %" in said


def test_a_reference_without_points_shows_its_reported_maximum() -> None:
    said = texts(proctor_curve.draw(reference(points=()), scale=US))
    assert "reported: 110.0 pcf" in said
    assert "least-squares" not in said


def test_rejected_points_are_shown_apart_and_are_not_in_the_line() -> None:
    wild = CurvePoint(D("14.0"), D("1500"), rejected=True)
    said = texts(proctor_curve.draw(reference(points=(*POINTS, wild)), scale=US))
    assert "laboratory point, rejected" in said
    with_wild, without = fitted_line.through((*POINTS, wild)), fitted_line.through(POINTS)
    assert with_wild == without


@pytest.mark.parametrize(
    "text", [r"$\frac{1}{$", "<script>window.ran=1</script>", "a\x0bb\x00", "]]>", "&amp;&#0;", "\ud800", "x" * 500]
)
def test_texts_of_people_stay_texts(text: str) -> None:
    drawn = proctor_curve.draw(
        reference(code=text, method=text), scale=US, test=FieldPoint(D(15), D(1700), "pass", text)
    )
    root = ElementTree.fromstring(drawn)  # well-formed whatever was written
    assert not [part for part in root.iter() if part.tag.endswith("script")]


def test_a_line_through_three_points_goes_through_them() -> None:
    # 1900, 1950, 1900 at 8, 10, 12 %: the parabola 1950 - 12.5 (w - 10)^2 by hand; at 9 % it is 1937.5.
    line = fitted_line.through([CurvePoint(D(w), D(d)) for w, d in ((8, 1900), (10, 1950), (12, 1900))])
    assert line is not None
    assert line.dry_densities_kgm3[0] == pytest.approx(1900, abs=1e-6)
    for water, density in zip(line.water_contents_pct, line.dry_densities_kgm3, strict=True):
        assert density == pytest.approx(1950 - 12.5 * (water - 10) ** 2, abs=1e-6)


def test_two_points_or_two_at_one_water_content_make_no_line() -> None:
    assert fitted_line.through(POINTS[:2]) is None
    assert fitted_line.through((*POINTS[:3], POINTS[0])) is None


def test_matplotlib_is_not_loaded_until_something_is_drawn() -> None:
    probe = "import sys, compaction.plots.proctor_curve, compaction.plots.run_chart; print('matplotlib' in sys.modules)"
    ran = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "False"
