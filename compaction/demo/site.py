"""The place, the people and the papers of the demo. Every name and number is invented.

The Veldrin River does not exist. The dike is drawn on open prairie in a real map grid (EPSG 2256, international
feet), so that the map has longitude and latitude.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from types import MappingProxyType
from typing import Any, Final
from zoneinfo import ZoneInfo

from compaction.demo import laboratory
from projects.geometry.alignment import Alignment

CODE: Final = "veldrin-dike"
ZONE: Final = ZoneInfo("America/Denver")
EPSG_CODE: Final = 2256
PROJECT: Final[Mapping[str, Any]] = MappingProxyType(
    {
        "code": CODE,
        "name": "Veldrin River Setback Dike",
        "time_zone": ZONE.key,
        "epsg_code": EPSG_CODE,
        "vertical_datum": "NAVD 88",
    }
)


@dataclass(frozen=True)
class Person:
    """Somebody with an account: user name, names, role on the project."""

    username: str
    first_name: str
    last_name: str
    role: str


PEOPLE: Final = (
    Person("n.tarrow", "Nell", "Tarrow", "technician"),
    Person("j.obrecht", "Joost", "Obrecht", "technician"),
    Person("p.quillane", "Petra", "Quillane", "technician"),
    Person("r.sandoe", "Ruth", "Sandoe", "supervisor"),
    Person("i.maddern", "Ivo", "Maddern", "laboratory"),
    Person("d.fennick", "Dana", "Fennick", "manager"),
    Person("k.averel", "Kit", "Averel", "engineer"),
    Person("h.lisle", "Hanne", "Lisle", "engineer"),
    Person("b.torvik", "Bo", "Torvik", "contractor"),
    Person("o.pellam", "Orla", "Pellam", "owner"),
    Person("a.winlow", "Asa", "Winlow", "administrator"),
)
SUPERVISOR, LABORATORY, MANAGER, ENGINEER, SECOND_ENGINEER, CONTRACTOR, ADMINISTRATOR = (
    "r.sandoe",
    "i.maddern",
    "d.fennick",
    "k.averel",
    "h.lisle",
    "b.torvik",
    "a.winlow",
)
FOREMAN: Final = "Bo Torvik"

# ---- the dike --------------------------------------------------------------------------------------
LIFTS: Final = 12
LIFT_FT: Final = 8 / 12
HALF_CREST_FT: Final = 7.0
SLOPE: Final = 3.0  # horizontal to one vertical
ALIGNMENT: Final[Mapping[str, Any]] = MappingProxyType(
    {
        "kind": "pi_table",
        "unit": "ft",
        "coordinate_unit": "ft",
        "start_station": "1000",
        "pis": [
            {"point": ["2441200", "1048350"]},
            {"point": ["2442160", "1048770"], "radius": "1200"},
            {"point": ["2443140", "1048620"], "radius": "1000"},
            {"point": ["2444040", "1049100"]},
        ],
        "profile": {
            "surface": "top of fill",
            "points": [
                {"station": "1000", "elevation": "2486.40"},
                {"station": "2400", "elevation": "2487.80", "curve_length": "400"},
                {"station": "4000", "elevation": "2487.00"},
            ],
        },
    }
)


def _range(station_from_ft: int, station_to_ft: int, offset_from_ft: int, offset_to_ft: int) -> dict[str, str]:
    names = ("station_from_m", "station_to_m", "offset_from_m", "offset_to_m")
    feet = (station_from_ft, station_to_ft, offset_from_ft, offset_to_ft)
    return {"alignment": "dike", **{name: f"{value * 0.3048:.4f}" for name, value in zip(names, feet, strict=True)}}


#: code -> (name, kind, content)
AREAS: Final = {
    "fill": ("Dike fill", "zone", _range(1000, 3400, -35, 35)),
    "abutment": ("North abutment tie-in", "zone", _range(3400, 3800, -35, 35)),
    "rock-apron": ("Rock apron, placed by method, no density", "exempt", _range(1400, 1650, 35, 60)),
}


@cache
def line() -> Alignment:
    """The dike's alignment."""
    return Alignment.from_plain(ALIGNMENT)


@dataclass(frozen=True)
class Section:
    """A reach that is placed and tested in one day. `first_day` is the working day of its first lift's tests."""

    code: str
    name: str
    zone: str
    from_ft: int
    to_ft: int
    tests: int
    first_day: int
    technician: str
    gauge: str


SECTIONS: Final = {
    "A": Section("A", "South reach", "fill", 1000, 1800, 8, 1, "n.tarrow", "TG-0417"),
    "B": Section("B", "Middle reach", "fill", 1800, 2600, 8, 2, "n.tarrow", "TG-0417"),
    "C": Section("C", "North reach", "fill", 2600, 3400, 8, 1, "j.obrecht", "TG-0892"),
    "D": Section("D", "Abutment tie-in", "abutment", 3400, 3800, 6, 2, "j.obrecht", "TG-0892"),
}


def test_day(section: str, lift: int) -> int:
    """The working day on which a lift is tested; it was placed the afternoon before."""
    return SECTIONS[section].first_day + 2 * (lift - 1)


test_day.__test__ = False  # type: ignore[attr-defined]  # keeps the test runner from collecting it


def half_width_ft(lift: int) -> int:
    """Half the width of the dike at the middle of a lift, whole feet."""
    return round(HALF_CREST_FT + SLOPE * (LIFTS - lift + 0.5) * LIFT_FT)


def top_ft(lift: int, station_ft: float) -> float:
    """Elevation of the finished lift on the line."""
    grade_m = line().design_grade_m(station_m=station_ft * 0.3048, offset_m=0.0)
    assert grade_m is not None
    return grade_m / 0.3048 - (LIFTS - lift) * LIFT_FT


def soil_code(section: str, lift: int) -> str:
    """Which reference the soil of a section's lift belongs to: two borrow areas for the fill, one for the abutment."""
    clay_until = {"A": 6, "B": 4}
    if section == "D":
        return "P-103"
    if section == "C":
        return "P-101" if 4 <= lift <= 9 else "P-102"
    return "P-101" if lift <= clay_until[section] else "P-102"


# ---- papers ----------------------------------------------------------------------------------------
def _points(*pairs: tuple[str, str]) -> list[dict[str, str]]:
    return [{"water_content": f"{water} %", "dry_density": f"{dry} pcf"} for water, dry in pairs]


def references(revised_from: date) -> dict[tuple[str, int], dict[str, Any]]:
    """(code, revision) -> the laboratory's body. The second curve of P-102 governs tests from a day on."""
    clay = {
        "soil": "Lean clay, brown, borrow area west",
        "method": "D698-A",
        "optimum_water_content": "17.0 %",
        "specific_gravity": "2.70",
        "specific_gravity_measured": True,
        "fit": "drawn through five points",
    }
    sand = {
        "soil": "Clayey sand, reddish, borrow area river bench",
        "method": "D698-A",
        "optimum_water_content": "13.6 %",
        "specific_gravity": "2.68",
        "specific_gravity_measured": True,
        "sample": "S-102",
        "fit": "drawn through five points",
    }
    return {
        ("P-101", 1): {
            **clay,
            "maximum_dry_density": "108.6 pcf",
            **laboratory.clay_bench("0.0331 ft3"),
        },
        ("P-102", 1): {
            **sand,
            "maximum_dry_density": "116.2 pcf",
            "points": _points(
                ("9.8", "110.6"), ("11.7", "114.7"), ("13.5", "116.1"), ("15.4", "113.8"), ("17.2", "109.9")
            ),
        },
        ("P-103", 1): {
            "soil": "Clayey gravel with sand, abutment stockpile",
            "sample": "S-103",
            "method": "D698-C",
            "maximum_dry_density": "122.4 pcf",
            "optimum_water_content": "11.2 %",
            "control_sieve": "three_quarters",
            "oversize_rule": "correct_maximum",
            "oversize_bulk_specific_gravity": "2.64",
            "oversize_water_content": "1.4 %",
            "specific_gravity": "2.69",
            "specific_gravity_measured": True,
            "fit": "drawn through five points",
            "points": _points(
                ("7.3", "117.0"), ("9.2", "120.9"), ("11.1", "122.3"), ("13.0", "120.2"), ("14.8", "116.6")
            ),
        },
        ("P-101", 2): {
            **clay,
            "maximum_dry_density": "107.6 pcf",
            **laboratory.clay_bench("0.0334 ft3"),
            "reach": "all",
            "reason": "The mould was entered with 0.0331 ft3; its certificate says 0.0334 ft3. All points come down.",
        },
        ("P-102", 2): {
            **sand,
            "maximum_dry_density": "117.4 pcf",
            "points": _points(
                ("10.0", "112.0"), ("11.8", "116.0"), ("13.6", "117.4"), ("15.4", "115.0"), ("17.1", "111.2")
            ),
            "reach": "from_date",
            "effective_from": revised_from.isoformat(),
            "reason": "Second curve from the face now being dug; the bench has become coarser.",
        },
    }


_ROUNDING: Final = [
    {"quantity": "dry_density", "increment": "0.1", "unit": "pcf"},
    {"quantity": "percent_compaction", "increment": "0.1", "unit": "%"},
    {"quantity": "water_content_deviation", "increment": "0.1", "unit": "%"},
]
#: zone -> (least percent compaction, driest, wettest from optimum), percent
LIMITS: Final = {"fill": ("95", "-2", "2"), "abutment": ("97", "-1", "3")}


def _criteria(zone: str) -> list[dict[str, str]]:
    least, driest, wettest = LIMITS[zone]
    return [
        {
            "quantity": "percent_compaction",
            "minimum": f"{least} %",
            "zone": zone,
            "clause": f"Each test at least {least} percent of the maximum of ASTM D698.",
        },
        {
            "quantity": "water_content_deviation",
            "minimum": f"{driest} %",
            "maximum": f"{wettest} %",
            "zone": zone,
            "clause": f"Moisture from {driest} to +{wettest} points of optimum.",
        },
    ]


def _frequency(zone: str, interval: str) -> list[dict[str, Any]]:
    return [
        {
            "name": "Density in place",
            "zone": zone,
            "counters": [{"basis": "volume", "interval": interval, "within": "lift", "minimum": 3}],
            "clause": f"One test for every {interval} of each lift, at least three.",
        },
        {
            "name": "Gauge checked by sand cone",
            "zone": zone,
            "methods": ["sand_cone"],
            "purposes": ["acceptance", "verification"],
            "counters": [{"basis": "tests", "interval": 15, "within": "area"}],
            "clause": "One direct test for every fifteen by gauge.",
        },
        {
            "name": "Laboratory curve",
            "zone": zone,
            "counts": "references",
            "counters": [{"basis": "volume", "interval": "5000 yd3", "within": "material", "minimum": 1}],
            "clause": "One curve for every material and every 5,000 yd3 of it.",
        },
    ]


SPECIFICATIONS: Final[dict[str, dict[str, Any]]] = {
    "S-1": {
        "title": "Dike fill",
        "criteria": _criteria("fill"),
        "rounding": _ROUNDING,
        "frequency": _frequency("fill", "200 yd3"),
    },
    "S-2": {
        "title": "Abutment tie-in",
        "criteria": _criteria("abutment"),
        "rounding": _ROUNDING,
        "oven_required": True,
        "frequency": _frequency("abutment", "95 yd3"),
    },
}


CONE_G: Final = 1614
SAND_GCM3: Final = "1.427"
