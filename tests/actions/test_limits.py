"""Limits as people write them: zones of equations, names of lines, kilometres; a question instead of a guess."""

from decimal import Decimal

import pytest

from compaction.actions import place
from compaction.calculations.errors import ReadingsError
from compaction.forms.places import BaselineForm
from compaction.queries import set_up
from compaction.queries.limits import point_from_text, range_from_text
from tests.builders import NOW, Site, make_project

FT = Decimal("0.3048")
TWICE = {
    "kind": "baseline", "unit": "ft", "start_station": "0", "points": [["0", "0"], ["3000", "0"]],
    "equations": [{"back": "2000", "ahead": "1500"}],
}  # fmt: skip


@pytest.fixture
def site(db: None) -> Site:
    set_up.forget()
    made = make_project()
    place.issue_alignment(opened=made.opened(), code="dike-2", rev=1, name="Dike 2", content=TWICE, now=NOW)
    return made


def limits(site: Site, station_from: str, station_to: str, **more: str):
    opened = site.opened()
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    return range_from_text(
        under, moment=NOW, alignment="dike-2", station_from=station_from, station_to=station_to,
        **{"offset_from": "30 L", "offset_to": "30 R", **more},
    )  # fmt: skip


def test_the_zone_of_an_equation_names_the_place(site: Site) -> None:
    found = limits(site, "18+00 (1)", "dike-2 18+00 AH")
    assert (found.station_from_m, found.station_to_m) == (1800 * FT, 2300 * FT)


@pytest.mark.parametrize(
    ("station", "sentence"),
    [
        ("18+00", r"Is 18\+00.00 \(1\) or 18\+00.00 \(2\) meant\?"),
        ("main 12+00", "Which line is meant"),
        ("12+00 15 L", "offset in its own field"),
        ("40+00", "lies on no part of dike-2"),
        ("12+4", "is 12\\+04 or 12\\+40 meant"),
    ],
)
def test_what_can_be_read_in_two_ways_is_asked(site: Site, station: str, sentence: str) -> None:
    with pytest.raises(ReadingsError, match=sentence):
        limits(site, station, "19+50 (2)")
    opened = site.opened()
    under = set_up.load(opened.project, setup_seq=opened.setup_seq)
    with pytest.raises(ReadingsError, match=sentence):
        point_from_text(under, moment=NOW, alignment="dike-2", station=station, offset="CL")


def test_kilometres_of_unequal_length(site: Site) -> None:
    content = {**TWICE, "unit": "m", "start_station": "27100",
               "equations": [{"back": "28001.8", "ahead": "0", "kilometre": 28}]}  # fmt: skip
    place.issue_alignment(opened=site.opened(), code="dike-2", rev=2, name="Dike 2", content=content, now=NOW)
    type(site.project).objects.filter(pk=site.project.pk).update(station_format="thousands")
    set_up.forget()
    site.project.refresh_from_db()
    found = limits(site, "27+1000.2", "28+000.2")
    assert (found.station_from_m, found.station_to_m) == (Decimal("28000.2"), Decimal("28002"))


def test_the_start_of_a_baseline_is_not_guessed() -> None:
    given = {"code": "x", "name": "x", "unit": "ft", "coordinate_unit": "ft", "points": "0 0\n10 0"}
    for text, read in (("10+00", "1000"), ("12+345", "12345"), ("1000.5", "1000.5"), ("12+4", None), ("1+2+3", None)):
        form = BaselineForm({**given, "start_station": text})
        assert form.is_valid() is (read is not None), text
        if read is not None:
            assert form.cleaned_data["start_station"] == read
