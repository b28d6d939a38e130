"""From when a page points something out: read strictly, common practice without a word, no digest without a word."""

import re
from decimal import Decimal

import pytest

from compaction.calculations.errors import ReadingsError
from compaction.facts import Looks
from compaction.forms.specifications import SpecificationForm
from compaction.records import looks, specification
from projects.models import Project

SPECIFICATION = {
    "title": "Fill",
    "criteria": [{"quantity": "percent_compaction", "minimum": "95 %", "clause": "95 percent."}],
}
STATED = {"chosen_places_below": "0.5 %", "crew_days_per_finding": 50, "way_in_a_minute": "2000 ft",
          "least_times": {"sand_cone": "20 min"}}  # fmt: skip


def test_what_is_stated_counts_and_the_rest_stays_as_it_was() -> None:
    read = looks.read_looks(STATED, "/looks")
    assert read == Looks(
        chosen_places_below_pct=Decimal("0.5"),
        crew_days_per_finding=50,
        way_m_per_minute=Decimal("609.6"),
        least_minutes=(("sand_cone", Decimal(20)),),
    )
    words = looks.looks_words(read, "ft")
    assert words["way between tests"] == "at most 2000 ft in a minute"
    assert words["least time of a test"].startswith("sand cone 20 min, nuclear gauge 2 min")
    assert looks.looks_words(Looks(), "m")["one spot"] == "places nearer than 30 m"
    fixes = looks.read_looks({"fix_age": "5 min", "far_fix": "500 m"}, "/looks")
    assert (fixes.fix_minutes, fixes.far_fix_m, fixes.yard_m) == (5, 500, 50)
    assert looks.looks_words(fixes, "m")["satellite fixes"] == (
        "more than 5 min before the test, or from 500 m beside the stated place, several within 50 m"
    )


def test_a_specification_without_a_word_keeps_its_digest() -> None:
    plain = specification.read(SPECIFICATION, code="S-1", rev=1).facts
    usual = {"chosen_places_below": "1 %", "edge_strip": "10 %", "crew_days_per_finding": 200, "count_time": "1 min",
             "way_in_a_minute": "900 m", "one_spot": "30 m", "elevations_read_to": "0.03 m",
             "fix_age": "2 min", "far_fix": "200 m", "yard": "50 m"}  # fmt: skip
    same = specification.read({**SPECIFICATION, "looks": usual}, code="S-1", rev=1).facts
    assert (same.looks, same.digest) == (Looks(), plain.digest)
    other = specification.read({**SPECIFICATION, "looks": STATED}, code="S-1", rev=1).facts
    assert other.digest != plain.digest


@pytest.mark.parametrize(
    ("part", "pointer"),
    [
        ({"edge_strip": "60 %"}, "/looks/edge_strip"),
        ({"crew_days_per_finding": 0}, "/looks/crew_days_per_finding"),
        ({"one_spot": "30"}, "/looks/one_spot"),
        ({"least_times": {"spoon": "1 min"}}, "/looks/least_times/spoon"),
        ({"patience": 1}, "/looks/patience"),
    ],
)
def test_what_cannot_be_is_refused_with_its_place(part: dict[str, object], pointer: str) -> None:
    with pytest.raises(ReadingsError) as refused:
        specification.read({**SPECIFICATION, "looks": part}, code="S-1", rev=1)
    assert [error.pointer for error in refused.value.errors] == [pointer]


def test_the_form_gives_back_what_a_revision_states() -> None:
    shown = SpecificationForm(project=Project(units="pcf"), initial={"looks": STATED})
    written = dict(pair for name in shown.fields for pair in _posted(shown, name))
    form = SpecificationForm({**written, "code": "S-1", "title": "Fill", "reach": "all"}, project=Project(units="pcf"))
    assert form.is_valid(), form.errors
    assert looks.read_looks(form.body()["looks"], "/looks") == looks.read_looks(STATED, "/looks")
    assert [title for title, _, wrong in form.folds if wrong] == []


def _posted(form: SpecificationForm, name: str) -> list[tuple[str, str]]:
    """What a browser would send of a field as it is shown."""
    if not name.startswith("looks_"):
        return []
    found = re.findall(r'name="([^"]+)"(?:[^>]* value="([^"]*)")?', str(form[name]))
    chosen = re.findall(r'<option value="([^"]*)" selected', str(form[name]))
    area = re.findall(r"<textarea[^>]*>\s*([^<]*)</textarea>", str(form[name]))
    return [
        (field, value or (area[0] if area else chosen[0] if chosen and field.endswith("unit") else ""))
        for field, value in found
    ]
