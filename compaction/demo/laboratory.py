"""The laboratory's sheets of the demo: samples from the borrow areas, and the bench's masses of one curve. Invented."""

from typing import Any, Final

#: the specimens of P-101: mould with soil in g, then for each can moist, dry and empty in g
_SPECIMENS: Final = (
    ("5960", (("159.49", "144.60", "31.52"), ("175.14", "158.89", "33.66"))),
    ("6060", (("168.78", "150.63", "32.21"), ("184.60", "164.65", "32.31"))),
    ("6121", (("174.41", "153.74", "33.36"), ("183.10", "160.91", "30.60"))),
    ("6114", (("183.50", "159.35", "32.62"), ("159.32", "139.30", "33.14"))),
    ("6075", (("169.59", "145.92", "33.36"), ("165.04", "142.31", "32.93"))),
)
_SPILLED: Final = ("6038", (("171.20", "150.15", "32.90"), ("166.74", "146.62", "33.25")))
MOULD_G: Final = "4213"


def _point(full: str, cans: tuple[tuple[str, str, str], ...]) -> dict[str, Any]:
    return {
        "mould_and_soil": f"{full} g",
        "cans": [
            {"place": place, "wet_and_can": f"{wet} g", "dry_and_can": f"{dry} g", "can_mass": f"{empty} g"}
            for place, (wet, dry, empty) in zip(("top", "bottom"), cans, strict=True)
        ],
    }


def clay_bench(mould_volume: str) -> dict[str, Any]:
    """The bench sheet of P-101: five specimens and one that was spoilt, in a mould of the given volume."""
    spoilt = {**_point(*_SPILLED), "rejected": True, "why": "Soil was lost when the collar came off."}
    return {
        "sample": "S-101",
        "mould_volume": mould_volume,
        "mould_mass": f"{MOULD_G} g",
        "layers": 3,
        "blows": 25,
        "points": [*(_point(*specimen) for specimen in _SPECIMENS), spoilt],
    }


def _gradation(sieves: str, sizes: str = "") -> list[dict[str, str]]:
    """ "no4 100, no200 78" and "0.02 60" as the laboratory writes them."""
    rows = [entry.split() for entry in sieves.split(", ")]
    finer = [entry.split() for entry in sizes.split(", ")] if sizes else []
    return [
        *({"sieve": sieve, "passing": f"{passing} %"} for sieve, passing in rows),
        *({"size": f"{size} mm", "passing": f"{passing} %"} for size, passing in finer),
    ]


SAMPLES: Final[dict[str, dict[str, Any]]] = {
    "S-101": {
        "description": "Lean clay, brown, some fine sand",
        "source": "Borrow area west",
        "location": "Test pit 3, 1.2 m to 2.4 m deep",
        "sampled_by": "i.maddern",
        "liquid_limit": "38 %",
        "plastic_limit": "20 %",
        "specific_gravity": "2.70",
        "specific_gravity_measured": True,
        "natural_water_content": "18.3 %",
        "maximum_particle": "4.75 mm",
        "gradation": _gradation("no4 100, no10 98, no40 94, no100 86, no200 78", "0.02 58, 0.005 39, 0.002 27"),
    },
    "S-102": {
        "description": "Clayey sand, reddish",
        "source": "Borrow area river bench",
        "location": "Face at the second bench",
        "sampled_by": "i.maddern",
        "liquid_limit": "29 %",
        "plastic_limit": "17 %",
        "specific_gravity": "2.68",
        "specific_gravity_measured": True,
        "natural_water_content": "11.6 %",
        "maximum_particle": "9.5 mm",
        "gradation": _gradation("three_eighths 100, no4 97, no10 91, no40 70, no100 48, no200 37"),
    },
    "S-103": {
        "description": "Clayey gravel with sand",
        "source": "Abutment stockpile",
        "sampled_by": "i.maddern",
        "liquid_limit": "27 %",
        "plastic_limit": "17 %",
        "specific_gravity": "2.69",
        "specific_gravity_measured": True,
        "maximum_particle": "37.5 mm",
        "gradation": _gradation("one_and_half 100, one 94, three_quarters 86, three_eighths 66, no4 49, no10 41, "
                                "no40 31, no200 21"),
    },
}  # fmt: skip
