"""Strict reading of a test's body: all problems at once, each with pointer and code; nothing guessed or dropped."""

import copy
from datetime import timedelta
from decimal import Decimal
from typing import Any

import jsonschema
import pytest

from compaction import observation
from compaction.calculations.sand_cone import SandConeReadings
from compaction.observation.choices import LENGTHS
from compaction.observation.description import FIELDS, json_schema
from tests.evaluation.builders import OVERSIZE, cone_body, gauge_body, sheet_body

D = Decimal
UUID = "3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10"
FULL = cone_body(
    oversize=OVERSIZE,
    maximum_particle="25 mm",
    reference_basis="visual",
    reference_choice={"basis": "family", "wet_density": "118.4 pcf", "water_content": "14.2 %", "family": "F-1"},
    position={
        "alignment": "main",
        "station": "12+34.56",
        "offset": "15 L",
        "elevation": "1316.10 ft",
        "elevation_from": "level",
        "gps": {"latitude": "41.123456", "longitude": "-81.123456", "accuracy": "4.9 m", "confidence": "68 %"},
    },
    lift_thickness="8 in",
    apparatus={"cone": "C-3", "balance": "B-1"},
    printed={"dry_density": "113.7 pcf", "percent_compaction": "96.4 %"},
    retest_of=UUID,
    notified={"person": "grading foreman", "at": "2026-06-03T09:40:00-06:00", "how": "spoken"},
    soil="brown lean clay\nwith sand",
    weather="dry",
    witness="",
    remarks="second hole\tbeside the first",
)


def problems(body: Any) -> dict[str, str]:
    with pytest.raises(observation.ContentError) as caught:
        observation.read(body)
    return {pointer: code for pointer, code, _ in caught.value.errors}


def changed(pointer: str, value: Any, body: dict[str, Any] = FULL) -> dict[str, Any]:
    body = copy.deepcopy(body)
    *parents, name = pointer.strip("/").split("/")
    place: Any = body
    for parent in parents:
        place = place[int(parent)] if isinstance(place, list) else place.setdefault(parent, {})
    place[int(name) if isinstance(place, list) else name] = value
    return body


def without(pointer: str) -> dict[str, Any]:
    body = copy.deepcopy(FULL)
    *parents, name = pointer.strip("/").split("/")
    place: Any = body
    for parent in parents:
        place = place[parent]
    del place[name]
    return body


def test_a_full_body_is_read_into_units_used_inside() -> None:
    found = observation.read(FULL)
    assert found.performed_at.utcoffset() == timedelta(hours=-6)
    assert isinstance(found.readings, SandConeReadings)
    assert found.maximum_particle_mm == 25
    assert found.lift_thickness_m == D("0.2032")
    assert found.oversize is not None
    assert found.oversize.bulk_specific_gravity == D("2.62")
    assert found.printed["percent_compaction"] == D("96.4")
    assert found.printed_text == {"dry_density": "113.7 pcf", "percent_compaction": "96.4 %"}
    assert (found.retest_of, found.check_of, found.lift) == (UUID, "", 4)
    assert found.apparatus == {"cone": "C-3", "balance": "B-1"}


def test_the_position_is_stated_and_not_interpreted() -> None:
    position = observation.read_position(FULL)
    assert (position.station, position.offset, position.alignment) == ("12+34.56", "15 L", "main")
    assert position.elevation_m == D("401.147280")
    assert position.elevation_text == "1316.10 ft"
    assert position.gps is not None
    assert (position.gps.latitude_deg, position.gps.accuracy_m, position.gps.confidence_pct) == (
        D("41.123456"),
        D("4.9"),
        68,
    )
    assert not observation.read_position(cone_body(position=None)).is_stated


def test_coordinates_take_the_place_of_a_station() -> None:
    stated = {"easting": "602113.25 ftUS", "northing": "448210.1 ftUS", "depth_below_grade": "0.38 ft"}
    position = observation.read_position(cone_body(position=stated))
    assert position.easting_text == "602113.25 ftUS"
    assert position.easting_m is not None
    assert round(position.easting_m, 4) == D("183524.4856")
    assert position.depth_below_grade_m == D("0.115824")


def test_whom_was_told() -> None:
    notice = observation.read_notice(FULL)
    assert notice is not None
    assert (notice.person, notice.how) == ("grading foreman", "spoken")
    assert observation.read_notice(cone_body()) is None


def test_figures_of_a_transcribed_sheet_count_as_printed() -> None:
    found = observation.read(
        sheet_body(dry="109.6 pcf", water_content="17.2 %", printed={"percent_compaction": "96.3 %"})
    )
    assert found.printed_text == {
        "percent_compaction": "96.3 %",
        "dry_density": "109.6 pcf",
        "water_content": "17.2 %",
    }


@pytest.mark.parametrize(
    ("pointer", "value", "code"),
    [
        ("/performed_at", "2026-06-03T09:15:00", "not-a-time"),
        ("/performed_at", "2026-06-03", "not-a-time"),
        ("/performed_at", "2026-06-03 09:15:00-06:00", "not-a-time"),
        ("/performed_at", "2026-06-03T09:15-06:00", "not-a-time"),
        ("/performed_at", "2026-06-31T09:15:00-06:00", "not-a-time"),
        ("/performed_at", "2026-06-03T09:15:60Z", "not-a-time"),
        ("/performed_at", "2026-06-03T09:15:00-00:00", "not-a-time"),
        ("/performed_at", "2026-06-03T09:15:00+19:00", "not-a-time"),
        ("/performed_at", "0001-01-01T00:00:00+01:00", "not-a-time"),
        ("/performed_at", "0000-01-01T00:00:00Z", "not-a-time"),
        ("/performed_at", 1780000000, "not-a-time"),
        ("/purpose", "acceptence", "not-a-choice"),
        ("/purpose", None, "not-a-choice"),
        ("/purpose", ["acceptance"], "not-a-choice"),
        ("/method", "balloon", "not-a-choice"),
        ("/label", "x" * 41, "too-long"),
        ("/label", 1201, "not-text"),
        ("/label", " 1201", "blank-at-end"),
        ("/label", "12\x0001", "control-character"),
        ("/label", "12\n01", "control-character"),
        ("/label", "12\ud80001", "control-character"),
        ("/technician", "x" * 121, "too-long"),
        ("/remarks", "x" * 4001, "too-long"),
        ("/remarks", "a\x00b", "control-character"),
        ("/soil", "a\x1bb", "control-character"),
        ("/lift", True, "not-whole"),
        ("/lift", 4.0, "not-whole"),
        ("/lift", "4", "not-whole"),
        ("/lift", -1, "out-of-range"),
        ("/lift", 10000, "out-of-range"),
        ("/lift_thickness", 8, "not-a-quantity"),
        ("/lift_thickness", True, "not-a-quantity"),
        ("/lift_thickness", "8", "unit-missing"),
        ("/lift_thickness", "8 inches", "unit-unknown"),
        ("/lift_thickness", "8 pcf", "unit-unknown"),
        ("/lift_thickness", "1e1 in", "not-a-number"),
        ("/lift_thickness", "٨ in", "not-a-number"),
        ("/lift_thickness", "+8 in", "not-a-number"),
        ("/lift_thickness", "08 in", "not-a-number"),
        ("/lift_thickness", "NaN in", "not-a-number"),
        ("/maximum_particle", {"value": 25}, "not-a-quantity"),
        ("/oversize/sieve", "no200", "not-a-choice"),
        ("/oversize/percent", "118 %", "out-of-range"),
        ("/oversize/bulk_specific_gravity", 2.62, "not-text"),
        ("/oversize/wet_mass", "612 g", "stated-twice"),
        ("/oversize/basis", "none", "contradiction"),
        ("/oversize", [], "not-an-object"),
        ("/water_contents", {}, "not-an-array"),
        ("/water_contents", [], "out-of-range"),
        ("/water_contents/0", 12.4, "not-an-object"),
        ("/water_contents/0/fraction", "whole", "not-a-choice"),
        ("/water_contents/0/cans", [{}], "stated-twice"),
        ("/water_contents/0/dial", "11 %", "stated-twice"),
        ("/water_contents/0/extra", 1, "unknown-member"),
        ("/position/gps/latitude", "91", "out-of-range"),
        ("/position/gps/latitude", 41.1, "not-text"),
        ("/position/gps/confidence", "100 %", "out-of-range"),
        ("/position/elevation_from", "guess", "not-a-choice"),
        ("/position/depth_below_grade", "1 m", "stated-twice"),
        ("/apparatus/shovel", "S-1", "unknown-member"),
        ("/printed/percent_compaction", "96.4", "unit-missing"),
        ("/printed/colour", "96.4 %", "unknown-member"),
        ("/retest_of", UUID.upper(), "not-a-uuid"),
        ("/retest_of", UUID.replace("-", ""), "not-a-uuid"),
        ("/check_of", UUID, "contradiction"),
        ("/notified/how", "shouted", "not-a-choice"),
        ("/readings/mass_before", 6842, "not-a-quantity"),
        ("/readings/mass_before", "6842", "unit-missing"),
        ("/readings/colour", "red", "unknown-name"),
        ("/temprature", "21 degC", "unknown-member"),
    ],
)
def test_what_cannot_be_read_is_refused_where_it_stands(pointer: str, value: Any, code: str) -> None:
    assert problems(changed(pointer, value)).get(pointer) == code


@pytest.mark.parametrize(
    "pointer",
    [
        "/performed_at",
        "/purpose",
        "/method",
        "/readings",
        "/readings/mass_before",
        "/oversize/sieve",
        "/oversize/percent",
        "/position/offset",
        "/position/station",
        "/position/elevation_from",
        "/position/gps/accuracy",
        "/notified/person",
    ],
)
def test_what_must_be_stated_is_never_supplied(pointer: str) -> None:
    assert problems(without(pointer)).get(pointer) == "missing"


def test_every_problem_is_told_at_once() -> None:
    body = changed("/lift", "4", changed("/label", "", changed("/readings/mass_after", "x", changed("/foo", 1))))
    del body["purpose"]
    assert problems(body) == {
        "/foo": "unknown-member",
        "/lift": "not-whole",
        "/purpose": "missing",
        "/readings/mass_after": "not-a-number",
    }


@pytest.mark.parametrize("body", [None, [], "text", 5, True])
def test_a_body_that_is_no_object(body: Any) -> None:
    assert problems(body) == {"": "not-an-object"}


def test_names_that_could_not_be_sent_back_are_spelt_out() -> None:
    with pytest.raises(observation.ContentError) as caught:
        observation.read(cone_body() | {"a\ud800/~\x00": 1})
    ((pointer, code, sentence),) = caught.value.errors
    assert (pointer, code) == ("/a\\ud800~1~0\\u0000", "unknown-member")
    (pointer + sentence).encode("utf-8")


def test_a_dial_belongs_to_the_carbide_tester() -> None:
    body = cone_body(water_contents=[{"method": "oven", "fraction": "total", "dial": "11 %", "half_specimen": True}])
    assert problems(body) == {"/water_contents/0/dial": "not-with-this-method"}
    body = cone_body(
        water_contents=[{"method": "carbide", "fraction": "total", "dial": "11.0 %", "half_specimen": True}]
    )
    (reading,) = observation.read(body).water_contents
    assert (reading.carbide_dial_pct, reading.half_specimen) == (11, True)


def test_cans_are_read_by_mass() -> None:
    can = {"can": "A1", "wet_and_can": "43.52 g", "dry_and_can": "39.86 g", "can_mass": "17.31 g"}
    body = cone_body(water_contents=[{"method": "oven", "fraction": "total", "cans": [can]}])
    (reading,) = observation.read(body).water_contents
    assert reading.cans == ({"wet_and_can_kg": D("0.04352"), "dry_and_can_kg": D("0.03986"), "can_kg": D("0.01731")},)
    del can["can_mass"]
    assert problems(body) == {"/water_contents/0/cans/0/can_mass": "missing"}


@pytest.mark.parametrize(
    "body",
    [
        FULL,
        cone_body(),
        gauge_body(wet="120.2 pcf", water_content="26.8 %"),
        sheet_body(dry="109.6 pcf", water_content=None),
    ],
)
def test_the_schema_for_machines_takes_what_is_read(body: dict[str, Any]) -> None:
    observation.read(body)
    jsonschema.Draft202012Validator(json_schema()).validate(body)


@pytest.mark.parametrize(
    ("pointer", "value"),
    [("/lift", "4"), ("/foo", 1), ("/readings/colour", "red"), ("/label", "x" * 41), ("/lift_thickness", "8")],
)
def test_the_schema_for_machines_refuses_what_is_refused(pointer: str, value: Any) -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(json_schema()).validate(changed(pointer, value))


def test_every_described_field_is_one_that_is_read() -> None:
    """A description whose example is not accepted, or which the reader does not know, would mislead a form."""
    for description in FIELDS:
        if not description.example or description.pointer in ("/method", "/oversize/wet_mass", "/check_of"):
            continue
        if description.pointer.startswith(("/position/easting", "/position/northing", "/position/depth")):
            continue
        if description.pointer.startswith("/position/rtk/"):
            rtk = {"latitude": "41.123456789", "longitude": "-81.123456789", "accuracy": "0.02 m"}
            rtk[description.pointer.rpartition("/")[2]] = description.example
            position = observation.read_position(changed("/position", {"rtk": rtk}))
            assert position.rtk is not None
            continue
        value = int(description.example) if description.kind == "whole" else description.example
        observation.read(changed(description.pointer, value))
    assert {field.longest for field in FIELDS if field.longest} <= set(LENGTHS.values())
