"""What the fits propose and what is said about points that fix no maximum."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compaction.calculations.compaction_effort import EFFORTS, effort_findings
from compaction.calculations.errors import ImpossibleReading
from compaction.calculations.moisture_density_curve import propose, reported_findings, wet_density_in_mould_kgm3
from compaction.facts import CurvePoint


def points(*pairs: tuple[object, object]) -> list[CurvePoint]:
    return [CurvePoint(Decimal(str(water)), Decimal(str(dry))) for water, dry in pairs]


def parabola(optimum: Decimal, maximum: Decimal, waters: list[Decimal]) -> list[CurvePoint]:
    return [CurvePoint(water, maximum - 5 * (water - optimum) ** 2) for water in waters]


@given(
    st.decimals(min_value=8, max_value=20, places=2),
    st.decimals(min_value=1500, max_value=2200, places=1),
)
def test_points_on_a_parabola_give_its_peak_by_every_fit(optimum: Decimal, maximum: Decimal) -> None:
    waters = [optimum + shift for shift in (Decimal("-4.1"), Decimal("-2.2"), Decimal("-0.3"), Decimal(2), Decimal(4))]
    got = propose(parabola(optimum, maximum, waters))
    assert [proposal.fit for proposal in got.proposals] == ["parabola_top_three", "parabola", "cubic"]
    for proposal in got.proposals:
        assert abs(proposal.optimum_water_content_pct - optimum) < Decimal("0.000001")
        assert abs(proposal.maximum_dry_density_kgm3 - maximum) < Decimal("0.000001")
    assert got.findings == ()


@pytest.mark.parametrize(
    ("given_points", "expected"),
    [
        (points((8, 1800), (10, 1850)), ["too-few-points"]),
        (points((8, 1800), (8, 1810), (10, 1850), (12, 1800)), ["same-water-content-twice"]),
        (points((8, 1800), (10, 1850), (12, 1790), (14, 1840), (16, 1780)), ["curve-has-two-humps"]),
        (points((8, 1850), (10, 1790), (12, 1830)), ["curve-has-two-humps", "optimum-not-bracketed"]),
        (points((8, 1700), (10, 1800), (12, 1850)), ["optimum-not-bracketed", "optimum-outside-points"]),
        (points((8, 1800), (10, 1800), (12, 1800)), ["optimum-not-bracketed", "optimum-outside-points"]),
    ],
)
def test_points_that_fix_no_maximum(given_points: list[CurvePoint], expected: list[str]) -> None:
    got = propose(given_points)
    assert [finding.code for finding in got.findings] == expected
    assert got.proposals == ()


def test_a_dip_of_rounding_is_no_hump() -> None:
    got = propose(points((8, 1800), (10, 1850), (11, 1849), (12, "1849.5"), (14, 1790)))
    assert "curve-has-two-humps" not in [finding.code for finding in got.findings]


def test_a_rejected_point_is_left_out() -> None:
    good = points((8, 1800), (10, 1850), (12, 1800))
    odd = CurvePoint(Decimal(11), Decimal(2500), rejected=True)
    assert propose([*good, odd]) == propose(good)


def test_a_point_above_zero_air_voids_cannot_be() -> None:
    got = propose(points((8, 1800), (12, 1900), (16, 1880)), specific_gravity=Decimal("2.65"))
    assert [finding.code for finding in got.findings] == ["point-above-zero-air-voids"]
    assert "1861" in got.findings[0].sentence


def test_a_reported_pair_against_its_points() -> None:
    tested = points((8, 1800), (10, 1850), (12, 1800))
    below = reported_findings(tested, maximum_dry_density_kgm3=Decimal(1840), optimum_water_content_pct=Decimal(10))
    outside = reported_findings(tested, maximum_dry_density_kgm3=Decimal(1860), optimum_water_content_pct=Decimal(13))
    fair = reported_findings(tested, maximum_dry_density_kgm3=Decimal(1850), optimum_water_content_pct=Decimal(10))
    assert [finding.code for finding in below] == ["reported-maximum-below-highest-point"]
    assert [finding.code for finding in outside] == ["reported-optimum-outside-points"]
    assert fair == ()


@given(
    st.lists(
        st.tuples(
            st.decimals(min_value=0, max_value=9_999_999, places=3),
            st.decimals(min_value=0, max_value=10**10, places=1),
        ),
        max_size=8,
    )
)
def test_whatever_the_points_are_something_finite_is_said(pairs: list[tuple[Decimal, Decimal]]) -> None:
    got = propose([CurvePoint(water, dry) for water, dry in pairs], specific_gravity=Decimal("2.7"))
    for proposal in got.proposals:
        assert proposal.maximum_dry_density_kgm3.is_finite()
        assert proposal.optimum_water_content_pct.is_finite()
    assert got.proposals or got.findings


def test_a_mould_lighter_full_than_empty() -> None:
    with pytest.raises(ImpossibleReading):
        wet_density_in_mould_kgm3(
            mass_full_kg=Decimal(2), mass_mould_kg=Decimal(2), mould_volume_m3=Decimal("0.000944")
        )


@pytest.mark.parametrize("method", sorted(EFFORTS))
def test_each_method_agrees_with_itself_and_with_no_other_mould(method: str) -> None:
    effort = EFFORTS[method]
    right = {"method": method, "mould_in": effort.mould_in, "layers": effort.layers, "blows": effort.blows}
    assert effort_findings(**right) == ()
    other = 6 if effort.mould_in == 4 else 4
    assert [finding.code for finding in effort_findings(**(right | {"mould_in": other}))] == [
        "mould-does-not-fit-method"
    ]
    assert effort_findings(method="Hilf", mould_in=4, layers=3, blows=25)[0].severity == "information"
