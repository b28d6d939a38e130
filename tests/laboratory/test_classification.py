"""Classification by D2487: branches against the figures, and a symbol or a named error for anything that can be."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from compaction.calculations.classification import classify, classify_sample, coefficients
from compaction.calculations.errors import CalculationError, ImpossibleReading, NotEnoughReadings
from compaction.calculations.gradation import SIEVES, Passing, fractions, in_order, passing_pct, size_at_mm
from compaction.calculations.plasticity import Limits, a_line_pct, fines_symbol

D = Decimal
CLAY = Limits(D(38), D(18))
SYMBOLS = {
    "GW", "GP", "GM", "GC", "GC-GM", "GW-GM", "GW-GC", "GP-GM", "GP-GC",
    "SW", "SP", "SM", "SC", "SC-SM", "SW-SM", "SW-SC", "SP-SM", "SP-SC",
    "CL", "ML", "CL-ML", "CH", "MH", "OL", "OH",
}  # fmt: skip


def named(gravel: int, sand: int, fines: int, limits: Limits = CLAY, cu: str = "", cc: str = "") -> tuple[str, str]:
    found = classify(
        gravel_pct=D(gravel),
        sand_pct=D(sand),
        fines_pct=D(fines),
        limits=limits,
        uniformity=D(cu) if cu else None,
        curvature=D(cc) if cc else None,
    )
    return found.group_symbol, found.group_name


def gradation(**passing: str) -> list[Passing]:
    return [Passing(SIEVES[code][1], D(text)) for code, text in passing.items()]


@pytest.mark.parametrize(
    ("soil", "expected"),
    [
        ((0, 14, 86), ("CL", "lean clay")),
        ((0, 15, 85), ("CL", "lean clay with sand")),
        ((16, 13, 71), ("CL", "lean clay with gravel")),
        ((10, 30, 60), ("CL", "sandy lean clay")),
        ((15, 30, 55), ("CL", "sandy lean clay with gravel")),
        ((30, 14, 56), ("CL", "gravelly lean clay")),
        ((30, 15, 55), ("CL", "gravelly lean clay with sand")),
        ((0, 51, 49), ("SC", "clayey sand")),
        ((15, 50, 35), ("SC", "clayey sand with gravel")),
        ((50, 14, 36), ("GC", "clayey gravel")),
        ((50, 15, 35), ("GC", "clayey gravel with sand")),
    ],
)
def test_the_share_of_sand_and_gravel_makes_the_name(soil: tuple[int, int, int], expected: tuple[str, str]) -> None:
    assert named(*soil) == expected


@pytest.mark.parametrize(
    ("limits", "symbol"),
    [
        (Limits(D(30), D(8)), "CL"),
        (Limits(D(25), D(7)), "CL-ML"),  # above the A-line, PI 4 to 7
        (Limits(D(25), D(4)), "CL-ML"),
        (Limits(D(25), D("3.9")), "ML"),
        (Limits(D(40), D("14.6")), "CL"),  # on the A-line
        (Limits(D(40), D("14.5")), "ML"),
        (Limits(D(50), D("21.9")), "CH"),
        (Limits(D(50), D("21.8")), "MH"),
        (Limits(D("49.9"), D(30)), "CL"),
        (Limits(non_plastic=True), "ML"),
    ],
)
def test_the_plasticity_chart(limits: Limits, symbol: str) -> None:
    assert fines_symbol(limits) == symbol


@pytest.mark.parametrize(
    ("soil", "expected"),
    [
        ((60, 36, 4, Limits(), "4", "1"), ("GW", "well-graded gravel with sand")),
        ((60, 36, 4, Limits(), "3.9", "2"), ("GP", "poorly graded gravel with sand")),
        ((10, 86, 4, Limits(), "6", "3"), ("SW", "well-graded sand")),
        ((10, 86, 4, Limits(), "6", "3.1"), ("SP", "poorly graded sand")),
        ((20, 72, 8, Limits(non_plastic=True), "7", "1.5"), ("SW-SM", "well-graded sand with silt and gravel")),
        ((10, 85, 5, CLAY, "2", "1.5"), ("SP-SC", "poorly graded sand with clay")),
        ((70, 18, 12, CLAY, "9", "2"), ("GW-GC", "well-graded gravel with clay and sand")),
        ((60, 28, 12, Limits(D(22), D(5)), "9", "2"), ("GW-GC", "well-graded gravel with silty clay and sand")),
        ((10, 77, 13, Limits(D(22), D(5))), ("SC-SM", "silty, clayey sand")),
        ((44, 43, 13, Limits(D(70), D(20))), ("GM", "silty gravel with sand")),
    ],
)
def test_coarse_soils(soil: tuple[object, ...], expected: tuple[str, str]) -> None:
    assert named(*soil) == expected  # type: ignore[arg-type]


def test_large_stones_are_named_and_left_out_of_the_shares() -> None:
    stony = gradation(twelve="100", three="80", no4="40", no200="16")
    parts = fractions(stony)
    assert (parts.oversize_75mm_pct, parts.gravel_pct, parts.sand_pct, parts.fines_pct) == (20, 50, 30, 20)
    assert classify_sample(stony, limits=CLAY).group_name == "clayey gravel with sand, cobbles"
    boulders = gradation(twelve="90", three="80", no4="40", no200="16")
    assert classify_sample(boulders, limits=CLAY).group_name == "clayey gravel with sand, cobbles and boulders"


def test_what_is_missing_is_said_by_name() -> None:
    with pytest.raises(NotEnoughReadings) as no_sieve:
        classify_sample(gradation(no10="90", no200="40"), limits=CLAY)
    assert no_sieve.value.code == "sieve-not-tested"
    with pytest.raises(NotEnoughReadings) as no_limits:
        classify_sample(gradation(no4="90", no200="40"), limits=Limits())
    assert no_limits.value.code == "limits-missing"
    with pytest.raises(NotEnoughReadings) as no_d10:
        classify_sample(gradation(no4="90", no40="40", no200="11"), limits=CLAY)
    assert no_d10.value.code == "coefficients-missing"
    with pytest.raises(ImpossibleReading) as rises:
        in_order(gradation(no4="90", no10="95"))
    assert rises.value.code == "gradation-rises"
    with pytest.raises(ImpossibleReading) as crossed:
        fines_symbol(Limits(D(20), D(25)))
    assert crossed.value.code == "limits-impossible"


def test_sizes_lie_on_a_line_over_the_logarithm() -> None:
    straight = [Passing(D(10), D(100)), Passing(D("0.01"), D(0))]
    assert size_at_mm(straight, D("33.333333333")) == pytest.approx(D("0.1"), abs=D("1e-6"))
    level = [Passing(D(4), D(60)), Passing(D(1), D(60)), Passing(D("0.1"), D(10))]
    assert size_at_mm(level, D(60)) == 1
    # by hand: D60 1, D30 0.1 x 10 ** (20/50), D10 0.1: Cu 10, Cc (0.1 x 10 ** 0.4)**2 / 0.1 = 10 ** -0.2 = 0.631
    uniformity, curvature = coefficients(level)
    assert uniformity == 10
    assert curvature == pytest.approx(D("0.6309573"), abs=D("1e-6"))


def test_an_old_sheets_openings_are_the_same_sieves() -> None:
    old = [Passing(D("4.76"), D(92)), Passing(D("0.074"), D(48))]
    assert classify_sample(old, limits=Limits(D(30), D(8))).group_symbol == "SC"
    assert passing_pct([Passing(D(2), D(100)), Passing(D("0.075"), D(70))], D("4.75")) == 100


percent = st.decimals(min_value=0, max_value=100, places=1)


@given(
    st.lists(percent, min_size=len(SIEVES), max_size=len(SIEVES)),
    st.lists(st.booleans(), min_size=len(SIEVES), max_size=len(SIEVES)),
    st.decimals(min_value=0, max_value=150, places=1),
    st.decimals(min_value=0, max_value=150, places=1),
    st.booleans(),
)
def test_any_gradation_and_limits_give_a_symbol_or_a_named_error(
    shares: list[Decimal], used: list[bool], liquid: Decimal, plasticity: Decimal, none: bool
) -> None:
    sizes = sorted((opening for _, opening in SIEVES.values()), reverse=True)
    given_points = [
        Passing(size, share)
        for size, share, chosen in zip(sizes, sorted(shares, reverse=True), used, strict=True)
        if chosen
    ]
    limits = Limits(non_plastic=True) if none else Limits(liquid, plasticity)
    refused: CalculationError | None = None
    try:
        found = classify_sample(given_points, limits=limits)
    except CalculationError as error:
        refused = error
    if refused is not None:
        assert refused.code in {"sieve-not-tested", "limits-impossible", "coefficients-missing", "nothing-below-75mm"}
        assert refused.sentence
        return
    assert found.group_symbol in SYMBOLS
    assert found.group_name
    assert len(found.way) >= 2


@given(percent, percent, st.decimals(min_value=1, max_value=100, places=1), st.decimals(min_value=0, max_value=1))
def test_with_shares_and_limits_there_is_always_a_symbol(
    first: Decimal, second: Decimal, liquid: Decimal, part: Decimal
) -> None:
    low, high = sorted((first, second))
    found = classify(
        gravel_pct=100 - high,
        sand_pct=high - low,
        fines_pct=low,
        limits=Limits(liquid, liquid * part),
        uniformity=D(5),
        curvature=D(2),
    )
    assert found.group_symbol in SYMBOLS
    above = liquid * part >= a_line_pct(liquid)
    if low >= 50:
        assert (found.group_symbol in ("CH", "CL", "CL-ML")) == above
