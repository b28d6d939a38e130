"""The closed lists of a test's body, each value with the words that a form or a page shows for it."""

from typing import Final

from compaction.calculations.oversize import SIEVE_NAMES

PURPOSES: Final = {
    "acceptance": "acceptance",
    "quality_control": "quality control by the contractor",
    "verification": "verification by the owner",
    "assurance": "independent assurance of tester and equipment",
    "resolution": "resolution of a dispute",
    "information": "for information",
}
REFERENCE_BASES: Final = {
    "visual": "matched by eye",
    "one_point": "one-point test",
    "family": "family of curves",
    "full_test": "full laboratory test of this soil",
    "lot": "lot mean",
}
WATER_CONTENT_METHODS: Final = {
    "oven": "drying oven",
    "microwave": "microwave oven",
    "direct_heat": "direct heating (hot plate)",
    "carbide": "calcium carbide pressure tester",
    "gauge": "nuclear gauge",
    "stated": "stated, method not known",
}
FRACTIONS: Final = {
    "total": "total material",
    "control": "control fraction (passing the sieve)",
    "oversize": "oversize (retained on the sieve)",
}
SIEVES: Final = SIEVE_NAMES
OVERSIZE_BASES: Final = {
    "this_hole": "measured on this hole",
    "standing": "standing value",
    "none": "no oversize",
}
ELEVATION_SOURCES: Final = {
    "level": "levelled",
    "rtk": "satellite receiver with corrections",
    "stakes": "from grade stakes",
    "depth": "from a depth below grade",
    "design": "from the plans",
    "estimate": "estimated",
}
NOTICE_WAYS: Final = {
    "spoken": "spoken, on site",
    "telephone": "by telephone",
    "message": "by text message",
    "email": "by e-mail",
    "paper": "on paper",
}
#: figures that a sheet may show as printed -> kind of quantity
PRINTED_FIGURES: Final = {
    "hole_volume": "volume",
    "wet_density": "density",
    "dry_density": "density",
    "water_content": "percent",
    "maximum_dry_density": "density",
    "optimum_water_content": "percent",
    "percent_compaction": "percent",
}
#: what a test may name under "apparatus"
APPARATUS_KINDS: Final = {
    "gauge": "nuclear gauge",
    "cone": "sand cone and plate",
    "sand": "batch of sand",
    "balance": "balance",
    "oven": "oven",
    "carbide_tester": "carbide pressure tester",
    "cylinder": "drive cylinder or core cutter",
    "balloon": "rubber balloon apparatus",
    "mould": "mould",
}

#: longest text, in characters
LENGTHS: Final = {
    "label": 40,
    "code": 40,
    "serial": 40,
    "station": 40,
    "offset": 40,
    "name": 120,
    "soil": 500,
    "weather": 500,
    "witness": 500,
    "remarks": 4000,
}
LIFT_RANGE: Final = (0, 9999)
MOST_WATER_CONTENTS: Final = 20
MOST_CANS: Final = 20
MOST_WEIGHINGS: Final = 20
