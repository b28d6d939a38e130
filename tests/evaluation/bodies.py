"""Hypothesis strategies: bodies as clients might send them, sensible, odd and hostile."""

from typing import Any

from hypothesis import strategies as st

from compaction.calculations.oversize import SIEVE_NAMES

HOSTILE = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.text(max_size=20),
    st.sampled_from(["NaN %", "1e400 g", "١٢ %", "12", "", "\x00", "\ud800", "-0 g", "007 g", "9999999.999999 pcf"]),
    st.lists(st.integers(), max_size=2),
    st.dictionaries(st.text(max_size=5), st.integers(), max_size=2),
)


def number(low: int, high: int, digits: int) -> st.SearchStrategy[str]:
    scale = 10**digits
    return st.integers(low * scale, high * scale).map(
        lambda n: f"{'-' if n < 0 else ''}{abs(n) // scale}" + (f".{abs(n) % scale:0{digits}d}" if digits else "")
    )


def quantity(low: int, high: int, digits: int, *units: str) -> st.SearchStrategy[str]:
    return st.tuples(number(low, high, digits), st.sampled_from(units)).map(" ".join)


MASS = quantity(-10, 9000, 1, "g")
PERCENT = quantity(-2, 60, 1, "%")
DENSITY = st.one_of(quantity(-5, 180, 1, "pcf", "lb/ft3"), quantity(0, 3000, 0, "kg/m3"), quantity(0, 3, 3, "g/cm3"))
FRACTION = st.sampled_from(["total", "control", "oversize"])
WATER_METHOD = st.sampled_from(["oven", "microwave", "direct_heat", "stated", "gauge", "carbide"])

_cone = st.fixed_dictionaries(
    {
        "mass_before": MASS,
        "mass_after": MASS,
        "sand_bulk_density": quantity(0, 2, 3, "g/cm3"),
        "soil_wet_mass": MASS,
        "cone_and_plate_mass": MASS,
    }
)
_gauge = st.one_of(
    st.fixed_dictionaries(
        {"mode": st.sampled_from(["direct_transmission", "backscatter"]), "wet_density": DENSITY, "water": DENSITY}
    ),
    st.fixed_dictionaries(
        {"mode": st.just("air_gap"), "wet_density": DENSITY, "water_content": PERCENT},
        optional={
            "depth": quantity(0, 12, 0, "in"),
            "serial": st.just("G-7"),
            "water_offset": st.fixed_dictionaries({"value": st.one_of(PERCENT, DENSITY), "in_display": st.booleans()}),
        },
    ),
)
_sheet = st.fixed_dictionaries({"dry_density": DENSITY}, optional={"water_content": PERCENT, "wet_density": DENSITY})
VOLUME = quantity(-10, 9000, 0, "cm3")
_others = {
    "sand_replacement": st.fixed_dictionaries(
        {
            "pouring_cylinder": st.sampled_from(["small", "large"]),
            "mass_before": MASS,
            "mass_after": MASS,
            "cone_volume": VOLUME,
            "sand_bulk_density": quantity(0, 2, 3, "g/cm3"),
            "soil_wet_mass": MASS,
        }
    ),
    "rubber_balloon": st.fixed_dictionaries(
        {"initial_volume": VOLUME, "final_volume": VOLUME, "soil_wet_mass": MASS},
        optional={"pressures_differ": st.booleans()},
    ),
    "drive_cylinder": st.fixed_dictionaries(
        {"cylinder_and_soil_mass": MASS, "cylinder_mass": MASS, "cylinder_volume": VOLUME},
        optional={"ends_not_flush": st.booleans()},
    ),
    "test_pit_sand": st.fixed_dictionaries(
        {"sand_poured": MASS, "frame_sand": MASS, "sand_bulk_density": DENSITY, "soil_wet_mass": MASS}
    ),
    "test_pit_water": st.fixed_dictionaries(
        {
            "pit_water_mass": MASS,
            "ring_water_volume": VOLUME,
            "water_temperature": quantity(-5, 45, 0, "degC"),
            "liner_volume": quantity(-1, 50, 0, "cm3"),
            "soil_wet_mass": MASS,
        }
    ),
    "stated_wet_density": st.fixed_dictionaries(
        {"by": st.just("gauge"), "wet_density": DENSITY, "standard_uncertainty": quantity(-1, 100, 0, "kg/m3")}
    ),
}
_can = st.fixed_dictionaries({"wet_and_can": MASS, "dry_and_can": MASS, "can_mass": MASS})
_water = st.one_of(
    st.fixed_dictionaries({"method": WATER_METHOD, "fraction": FRACTION, "value": PERCENT}),
    st.fixed_dictionaries(
        {"method": WATER_METHOD, "fraction": FRACTION, "cans": st.lists(_can, min_size=1, max_size=3)}
    ),
    st.fixed_dictionaries(
        {"method": st.just("carbide"), "fraction": FRACTION, "dial": PERCENT}, optional={"half_specimen": st.booleans()}
    ),
)
_sieve = st.sampled_from(list(SIEVE_NAMES))
_oversize = st.one_of(
    st.fixed_dictionaries({"sieve": _sieve, "basis": st.just("none")}),
    st.fixed_dictionaries(
        {"sieve": _sieve, "basis": st.just("this_hole"), "wet_mass": MASS}, optional={"water_content": PERCENT}
    ),
    st.fixed_dictionaries(
        {"sieve": _sieve, "basis": st.just("standing"), "percent": quantity(0, 100, 1, "%")},
        optional={"bulk_specific_gravity": number(-1, 4, 2), "water_content": PERCENT},
    ),
)
_printed = st.fixed_dictionaries(
    {},
    optional={
        "wet_density": DENSITY,
        "dry_density": DENSITY,
        "water_content": PERCENT,
        "percent_compaction": quantity(0, 120, 1, "%"),
        "maximum_dry_density": DENSITY,
        "optimum_water_content": PERCENT,
    },
)


_specimen = st.one_of(
    st.fixed_dictionaries({"added_water": quantity(-10, 10, 1, "%"), "wet_density": DENSITY}),
    st.fixed_dictionaries({"added_water": quantity(-120, 10, 0, "%"), "converted_wet_density": DENSITY}),
    st.fixed_dictionaries(
        {
            "added_water": quantity(-10, 10, 1, "%"),
            "soil_wet_mass": quantity(1, 3, 2, "kg"),
            "mould_volume": quantity(900, 1000, 0, "cm3"),
        }
    ),
)
_rapid = st.fixed_dictionaries(
    {"points": st.lists(_specimen, min_size=3, max_size=3)},
    optional={
        "convention": st.sampled_from(["dry_positive", "wet_positive"]),
        "estimated_water_content": quantity(0, 60, 1, "%"),
    },
)
_one_point = st.fixed_dictionaries(
    {
        "basis": st.sampled_from(["one_point", "family"]),
        "wet_density": quantity(1, 180, 1, "pcf"),
        "water_content": quantity(1, 60, 1, "%"),
    },
    optional={"family": st.just("F-1")},
)


def _body(method: str, readings: st.SearchStrategy[Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(
        {
            "performed_at": st.just("2026-06-03T09:15:00-06:00"),
            "purpose": st.sampled_from(["acceptance", "quality_control", "verification", "information"]),
            "method": st.just(method),
            "readings": readings,
        },
        optional={
            "water_contents": st.lists(_water, min_size=1, max_size=3),
            "oversize": _oversize,
            "rapid": _rapid,
            "reference_choice": _one_point,
            "maximum_particle": quantity(-1, 80, 0, "mm"),
            "lift": st.integers(0, 12),
            "lift_thickness": quantity(-1, 24, 0, "in"),
            "printed": _printed,
            "apparatus": st.just({"gauge": "G-8"}),
        },
    )


BODIES = st.one_of(
    _body("sand_cone", _cone),
    _body("nuclear_gauge", _gauge),
    _body("transcribed", _sheet),
    *(_body(method, readings) for method, readings in _others.items()),
)


@st.composite
def spoilt(draw: st.DrawFn) -> Any:
    """A body in which one member, at any depth, was replaced, added or dropped."""
    body = draw(BODIES)
    place: Any = body
    while True:
        names = list(place) if isinstance(place, dict) else list(range(len(place)))
        if not names:
            return body
        name = draw(st.sampled_from(names))
        inner = place[name]
        if isinstance(inner, dict | list) and draw(st.booleans()):
            place = inner
            continue
        kind = draw(st.sampled_from(["replace", "drop", "add"]))
        if kind == "replace":
            place[name] = draw(HOSTILE)
        elif kind == "drop":
            del place[name]
        elif isinstance(place, dict):
            place[draw(st.text(max_size=8))] = draw(HOSTILE)
        return body
