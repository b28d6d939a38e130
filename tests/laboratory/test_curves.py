"""Curves from the bench's masses, the fits beside the reported values, what is said of both, the methods' data."""

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from compaction.calculations import curve_checks, curve_fits
from compaction.calculations.curve_fits import compare, spline_proposal
from compaction.calculations.errors import ReadingsError
from compaction.calculations.laboratory_methods import METHODS, method_code, stated_findings
from compaction.calculations.quantities import from_si, to_si
from compaction.facts import CurvePoint, Finding, SoilFacts
from compaction.records import curve_review, reference
from compaction.records.bench_work import Mould
from compaction.records.curve_review import Sibling

D = Decimal
#: PR-03: a laboratory's sheet of three specimens (City of Santa Ana, public document 110043, page 579)
BENCH: dict[str, Any] = {
    "method": "D1557-B",
    "maximum_dry_density": "134.0 pcf",
    "optimum_water_content": "7.5 %",
    "mould_volume": "0.0332 ft3",
    "mould_mass": "1830 g",
    "points": [
        {
            "mould_and_soil": full,
            "cans": [{"wet_and_can": wet, "dry_and_can": dry, "can_mass": empty, "place": "whole"}],
        }
        for full, wet, dry, empty in (
            ("3821 g", "601.7 g", "577.9 g", "39.6 g"),
            ("3992 g", "511.0 g", "479.3 g", "38.4 g"),
            ("3986 g", "492.5 g", "452.2 g", "39.2 g"),
        )
    ],
}


def codes(findings: Any) -> list[str]:
    return [finding.code for finding in findings]


def points(*pairs: tuple[object, object]) -> list[CurvePoint]:
    return [CurvePoint(D(str(water)), D(str(dry))) for water, dry in pairs]


# ---- the bench -----------------------------------------------------------------------------------
def test_a_sheet_reproduces_to_its_last_digit_with_a_line_for_each_step() -> None:
    record = reference.read(BENCH, code="P-1", rev=1)
    dry = [round(from_si(point.dry_density_kgm3, "pcf"), 1) for point in record.facts.points]
    assert dry == [D("126.6"), D("133.9"), D("130.4")]
    assert [round(point.water_content_pct, 2) for point in record.facts.points] == [D("4.42"), D("7.19"), D("9.76")]
    assert [step.id for step in record.points[0].steps] == [
        "water-content-from-masses",
        "mould-wet-density",
        "mould-dry-density",
    ]


def test_a_reference_without_masses_reads_as_before() -> None:
    direct = {
        **{name: BENCH[name] for name in ("method", "maximum_dry_density", "optimum_water_content")},
        "points": [
            {"water_content": "4.4 %", "dry_density": "126.6 pcf"},
            {"water_content": "7.2 %", "dry_density": "133.9 pcf", "rejected": True, "why": "leaked"},
        ],
    }
    record = reference.read(direct, code="P-1", rev=1)
    assert record.facts.points == (
        CurvePoint(D("4.4"), to_si(D("126.6"), "pcf")),
        CurvePoint(D("7.2"), to_si(D("133.9"), "pcf"), rejected=True),
    )
    # computed by the service before benches were read
    assert record.facts.digest == "db0d6dc44e28aa2c75a014fa71a28af985cbf16d771847eecee37fd668d8f243"


@given(st.sampled_from(["g", "kg", "lb", "oz"]), st.sampled_from(["cm3", "m3", "L", "ft3", "in3"]))
@settings(max_examples=20)
def test_units_never_change_a_result(mass: str, volume: str) -> None:
    body = {
        **BENCH,
        "mould_volume": in_unit("0.0332 ft3", volume),
        "mould_mass": in_unit("1830 g", mass),
        "points": [
            {
                "mould_and_soil": in_unit(point["mould_and_soil"], mass),
                "cans": [
                    {name: in_unit(text, mass) if name != "place" else text for name, text in can.items()}
                    for can in point["cans"]
                ],
            }
            for point in BENCH["points"]
        ],
    }
    told = reference.read(body, code="P-1", rev=1).facts.points
    plain = reference.read(BENCH, code="P-1", rev=1).facts.points
    # a quantity has six decimals at most: 0.001 lb in 4 lb of soil, 0.000001 m3 in a mould of 0.00094 m3
    allowed = D("0.0011") if volume == "m3" else D("0.00002")
    for one, other in zip(told, plain, strict=True):
        assert abs(one.dry_density_kgm3 / other.dry_density_kgm3 - 1) < allowed
        assert abs(one.water_content_pct - other.water_content_pct) < D("0.001")


def in_unit(text: str, unit: str) -> str:
    number, _, written = text.partition(" ")
    value = from_si(to_si(D(number), written), unit)
    return f"{value.quantize(D('0.000001')).normalize():f} {unit}"


def test_a_mould_is_taken_from_the_register_and_one_not_known_leaves_the_point_out() -> None:
    body = {name: value for name, value in BENCH.items() if name not in ("mould_volume", "mould_mass")}
    registered = {"M-4": Mould("M-4", to_si(D("0.0332"), "ft3"), D("1.830"))}
    told = reference.read({**body, "mould": "M-4"}, code="P-1", rev=1, moulds=registered)
    assert told.facts.points == reference.read(BENCH, code="P-1", rev=1).facts.points
    unknown = reference.read({**body, "mould": "M-5"}, code="P-1", rev=1, moulds=registered)
    assert unknown.facts.points == ()
    assert codes(unknown.findings).count("point-not-worked-out") == 3
    assert "volume of the mould M-5 is not known" in unknown.points[0].problem


@pytest.mark.parametrize(
    ("point", "pointer", "code"),
    [
        ({"water_content": "8 %"}, "/points/0/dry_density", "exactly-one-of"),
        ({"dry_density": "120 pcf"}, "/points/0/water_content", "exactly-one-of"),
        ({"dry_density": "120 pcf", "wet_density": "130 pcf", "water_content": "8 %"}, "/points/0/dry_density",
         "exactly-one-of"),
        ({"mould_and_soil": "3821", "water_content": "8 %"}, "/points/0/mould_and_soil", "unit-missing"),
        ({"dry_density": "120 pcf", "cans": [{"wet_and_can": "20 g"}]}, "/points/0/cans/0/dry_and_can", "missing"),
        ({"dry_density": "120 pcf", "water_content": "8 %", "luck": "1"}, "/points/0/luck", "unknown-name"),
        ("8 %", "/points/0", "not-an-object"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_told_at_its_place(point: Any, pointer: str, code: str) -> None:
    with pytest.raises(ReadingsError) as raised:
        reference.read({**BENCH, "points": [point]}, code="P-1", rev=1)
    assert (pointer, code) in [(error.pointer, error.code) for error in raised.value.errors]


def test_masses_that_cannot_be_leave_their_point_out_with_the_reason() -> None:
    light = {**BENCH["points"][0], "mould_and_soil": "1800 g"}
    record = reference.read({**BENCH, "points": [light, *BENCH["points"]]}, code="P-1", rev=1)
    assert len(record.facts.points) == 3
    assert record.points[0].problem.startswith("A mould of 0.000940 m3 weighs")
    assert "point-not-worked-out" in codes(record.findings)


def test_cans_of_one_specimen_far_apart_are_told() -> None:
    # ASTM D2216, one operator: 2.83 x 2.7 % of 12 are 0.92 points
    near, far = ("11.6", "12.4"), ("11.4", "12.6")
    for contents, told in ((near, 0), (far, 1)):
        cans = [
            {"wet_and_can": f"{100 + D(content)} g", "dry_and_can": "100 g", "can_mass": "0 g"} for content in contents
        ]
        record = reference.read({**BENCH, "points": [{"dry_density": "120 pcf", "cans": cans}]}, code="P-1", rev=1)
        assert codes(record.findings).count("cans-of-point-differ") == told


# ---- fits ----------------------------------------------------------------------------------------
@given(
    st.decimals(min_value=8, max_value=20, places=2),
    st.decimals(min_value=1500, max_value=2200, places=1),
    st.decimals(min_value=2, max_value=9, places=1),
)
@settings(max_examples=60, deadline=None)
def test_every_fit_goes_through_a_parabola_and_the_table_says_no_spread(
    optimum: Decimal, maximum: Decimal, steep: Decimal
) -> None:
    waters = [optimum + shift for shift in (D("-4.1"), D("-2.2"), D("-0.3"), D(2), D(4))]
    on_it = [CurvePoint(water, maximum - steep * (water - optimum) ** 2) for water in waters]
    table = compare(on_it, maximum_dry_density_kgm3=maximum, optimum_water_content_pct=optimum)
    assert [row.fit for row in table.rows] == ["reported", "parabola_top_three", "parabola", "cubic", "spline"]
    assert table.spread_maximum_kgm3 < D("0.00001")
    assert table.spread_optimum_pct < D("0.00001")
    assert table.findings == ()


def test_the_table_says_what_a_fit_does_to_percent_compaction() -> None:
    # PR-07: reported 127.5 at 12.7; the parabola peaks at 127.57 (as recomputed by another program)
    tested = [CurvePoint(D(w), to_si(D(d), "pcf")) for w, d in (
        ("8.4", "122.2"), ("10.2", "126.3"), ("11.7", "127.4"), ("12.7", "127.5"), ("14.0", "125.0"))]  # fmt: skip
    maximum = to_si(D("127.5"), "pcf")
    table = compare(tested, maximum_dry_density_kgm3=maximum, optimum_water_content_pct=D("12.7"))
    parabola = next(row for row in table.rows if row.fit == "parabola")
    assert round(parabola.percent_compaction, 2) == D("94.95")  # 95 x 127.5 / 127.57
    assert round(parabola.optimum_from_reported_pct, 2) == D("-0.94")
    assert table.rows[0].percent_compaction == 95


def test_a_reported_maximum_away_from_every_fit_is_told_and_stays() -> None:
    on_it = [CurvePoint(D(w), 1900 - 5 * (D(w) - 12) ** 2) for w in (8, 10, 11, 13, 15)]
    low = compare(on_it, maximum_dry_density_kgm3=D(1889), optimum_water_content_pct=D(12))
    assert codes(low.findings) == ["reported-apart-from-fits"]
    assert "below the nearest fit" in low.findings[0].sentence
    assert low.rows[0].maximum_dry_density_kgm3 == 1889
    near = compare(on_it, maximum_dry_density_kgm3=D(1891), optimum_water_content_pct=D(12))
    assert near.findings == ()


def test_an_optimum_that_every_fit_puts_elsewhere_is_told() -> None:
    # LC-01: a laboratory's five points; fits between 15.4 and 17.6 %
    real = points((11.87, 1620), (12.97, 1780), (17.10, 1860), (19.22, 1816), (21.90, 1759))
    table = compare(real, maximum_dry_density_kgm3=D(1860), optimum_water_content_pct=D("17.5"))
    assert "optimum-not-fixed" in codes(table.findings)


def test_a_spline_needs_five_points_and_a_peak_between_them() -> None:
    assert spline_proposal(points((8, 1800), (10, 1850), (12, 1800), (14, 1700))) is None
    assert spline_proposal(points((8, 1700), (10, 1750), (12, 1800), (14, 1850), (16, 1900))) is None
    assert spline_proposal(points((8, 1700), (8, 1750), (12, 1800), (14, 1850), (16, 1900))) is None


@given(
    st.lists(
        st.tuples(st.decimals(min_value=0, max_value=99, places=2), st.decimals(min_value=0, max_value=4000, places=1)),
        max_size=7,
    )
)
@settings(max_examples=40, deadline=None)
@pytest.mark.filterwarnings("ignore::RuntimeWarning")
def test_whatever_the_points_are_the_table_is_finite(pairs: list[tuple[Decimal, Decimal]]) -> None:
    table = compare(points(*pairs), maximum_dry_density_kgm3=D(1800), optimum_water_content_pct=D(12))
    for row in table.rows:
        assert row.maximum_dry_density_kgm3.is_finite()
        assert row.percent_compaction.is_finite()


# ---- checks --------------------------------------------------------------------------------------
def saturation(tested: list[CurvePoint], maximum: str, optimum: str, **more: Any) -> list[Finding]:
    given_gravity = {"specific_gravity": D("2.70"), "measured": True} | more
    return curve_checks.saturation_findings(
        tested, maximum_dry_density_kgm3=D(maximum), optimum_water_content_pct=D(optimum), **given_gravity
    )


def test_a_peak_above_zero_air_voids_cannot_be() -> None:
    # 2700 / (1 + 0.17 x 2.7) = 1850.6
    assert codes(saturation([], "1851", "17")) == ["reported-peak-above-zero-air-voids"]
    assert saturation([], "1851", "17")[0].severity == "validity"
    assert "specific gravity 2.70 measured" in saturation([], "1851", "17")[0].sentence
    assumed = saturation([], "1851", "17", specific_gravity=None, measured=False)
    assert [(one.code, one.severity) for one in assumed] == [("reported-peak-above-zero-air-voids", "information")]
    assert "2.70 assumed" in assumed[0].sentence
    assert saturation([], "1740", "17") == []


def test_a_point_above_an_assumed_line_only_informs() -> None:
    found = saturation(points((20, 1900)), "1700", "17", specific_gravity=None, measured=False)
    assert [(one.code, one.severity) for one in found] == [("point-above-assumed-zero-air-voids", "information")]


def test_a_wet_limb_that_falls_too_steeply_or_lies_too_dry_is_remarked_on() -> None:
    parallel = points((19, 1720), (21, 1660))  # 90 and 90 % by hand: w/(1/d - 1/2.7)
    assert saturation(parallel, "1740", "17") == []
    steep = points((19, 1720), (21, 1560))
    assert codes(saturation(steep, "1740", "17")) == ["wet-limb-not-parallel"]


def test_too_few_points_a_side_without_one_and_a_gap() -> None:
    def shape(tested: list[CurvePoint], optimum: str) -> list[str]:
        found = curve_checks.shape_findings(
            tested, maximum_dry_density_kgm3=D(1800), optimum_water_content_pct=D(optimum)
        )
        return codes(found)

    four = points((8, 1700), (10, 1750), (12, 1800), (14, 1700))
    assert shape(four, "11.5") == []
    assert shape(four[:3], "11.5") == ["fewer-than-four-points"]
    assert shape(four, "14") == ["no-point-wet-of-optimum"]
    assert shape(four, "8") == ["no-point-dry-of-optimum"]
    assert shape([*four, *points((19, 1600))], "11.5") == ["points-far-apart"]
    assert shape([], "50") == ["optimum-unusual"]


def sibling(code: str, soil: str, maximum: str, sample: str = "", method: str = "D698-A") -> Sibling:
    facts = reference.read(
        {"method": method, "maximum_dry_density": maximum, "optimum_water_content": "17 %"}, code=code, rev=1
    ).facts
    if sample:
        from dataclasses import replace

        facts = replace(facts, soil=SoilFacts(sample, 1, group_symbol="CL"))
    return Sibling(code, soil, facts)


def test_a_sibling_of_the_same_soil_with_another_maximum_is_told() -> None:
    own = {"soil": "Lean clay", "method": "ASTM D698 A", "maximum_dry_density": "108.6 pcf",
           "optimum_water_content": "17 %"}  # fmt: skip
    record = reference.read(own, code="P-1", rev=1)

    def told(*siblings: Sibling) -> list[tuple[str, str]]:
        found = curve_review.review(record, siblings=siblings).findings
        return [(one.code, one.severity) for one in found if one.code.startswith("sibling")]

    # AASHTO T 99, precision: 2.2 lb/ft3 for one operator, 4.5 between laboratories
    assert told(sibling("P-2", "lean  clay".replace("  ", " "), "110.7 pcf")) == []
    assert told(sibling("P-2", "Lean clay", "111.0 pcf")) == [("sibling-maximum-differs", "information")]
    assert told(sibling("P-2", "Lean clay", "113.2 pcf")) == [("sibling-maximum-differs", "validity")]
    assert told(sibling("P-2", "Fat clay", "113.2 pcf"), sibling("P-3", "Lean clay", "125 pcf", method="D1557-A")) == []
    soil = SoilFacts("S-1", 1, group_symbol="CL")
    # ASTM D698, CL, between laboratories: 2.83 x 0.8 = 2.26 lb/ft3
    other = sibling("P-4", "other words", "111.0 pcf", "S-1")
    found = curve_review.review(record, soil=soil, siblings=[other]).findings
    assert [(one.code, one.severity) for one in found] == [("sibling-maximum-differs", "validity")]


# ---- methods -------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("code", "low", "high"),
    [
        # ASTM: standard 600, modified 2700 kN-m/m3; BS 1377-4: 596 and 2682; within 2 %
        *((code, 588, 612) for code in METHODS if code.startswith(("D698", "T99", "BS-light", "IS-light"))),
        *((code, 2646, 2754) for code in METHODS if code.startswith(("D1557", "T180", "BS-heavy", "IS-heavy"))),
    ],
)
def test_the_data_of_each_method_give_its_effort(code: str, low: int, high: int) -> None:
    energy = METHODS[code].energy_kjm3
    assert energy is not None
    assert low < energy < high


def test_every_code_is_its_own_name() -> None:
    for code, method in METHODS.items():
        assert method_code(code) == code
        assert method_code(method.title) in (code, code.removesuffix("-2250").removesuffix("-CBR"))


def test_what_a_record_states_is_held_against_its_method() -> None:
    right = {"mould_volume_m3": to_si(D("0.0333"), "ft3"), "layers": 3, "blows": 25, "rammer_kg": to_si(D("5.5"), "lb"),
             "drop_m": to_si(D(12), "in"), "sieve": "no4"}  # fmt: skip
    assert stated_findings("ASTM D698 Method A", **right) == ()  # type: ignore[arg-type]
    wrong = {
        "mould_volume_m3": D("0.001"),
        "layers": 5,
        "blows": 56,
        "rammer_kg": to_si(D(10), "lb"),
        "drop_m": to_si(D(18), "in"),
        "sieve": "three_quarters",
        "mould_diameter_m": D("0.152"),
    }
    assert codes(stated_findings("D698-A", **wrong)) == [  # type: ignore[arg-type]
        "mould-does-not-fit-method",
        "mould-volume-does-not-fit-method",
        "layers-do-not-fit-method",
        "blows-do-not-fit-mould",
        "rammer-does-not-fit-method",
        "drop-does-not-fit-method",
        "sieve-does-not-fit-method",
    ]
    assert codes(stated_findings("Harvard miniature", layers=5)) == ["method-not-in-table"]
    assert stated_findings("Harvard miniature") == ()
    assert codes(stated_findings("BS 1377-4 vibrating hammer", layers=3, blows=27)) == ["blows-do-not-fit-mould"]


def test_the_spline_follows_where_one_cubic_cannot() -> None:
    sharp = points((8, 1800), (10, 1830), (12, 1890), (14, 1830), (16, 1810), (18, 1790))
    found = spline_proposal(sharp)
    assert found is not None
    cubic = next(row for row in compare(sharp, maximum_dry_density_kgm3=D(1890), optimum_water_content_pct=D(12)).rows
                 if row.fit == "cubic")  # fmt: skip
    assert abs(found.maximum_dry_density_kgm3 - 1890) < 6
    assert abs(cubic.maximum_dry_density_kgm3 - 1890) > 20
    assert curve_fits.WORDS["spline"]
