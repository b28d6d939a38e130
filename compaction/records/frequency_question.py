"""A question as it is asked: what would be required for so much fill on so many lifts?"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.readings import Field
from compaction.frequency_rules import FrequencyRule
from compaction.records.frequency_rule import read_rules
from compaction.records.reading import Part, read_record

QUESTION_FIELDS: Final = (
    Field("zone", "text", False, "Zone"),
    Field("material", "text", False, "Material"),
    Field("lifts", "count", True, "Lifts"),
    Field("days", "count", False, "Days of placing on each lift"),
    Field("quantity", "volume", False, "Quantity on all lifts together"),
    Field("plan_area", "area", False, "Plan area of each lift"),
    Field("length", "length", False, "Length of each lift"),
    Field("thickness", "length", False, "Thickness of each lift"),
)
MOST_LIFTS: Final = 500
MOST_DAYS: Final = 60


@dataclass(frozen=True)
class FrequencyQuestion:
    """Fill that is planned: equal lifts, each placed over so many days. What is not said is not known."""

    lifts: int
    days: int = 1
    zone: str = ""
    material: str = ""
    volume_m3: Decimal | None = None  # of all lifts
    area_m2: Decimal | None = None  # of each
    length_m: Decimal | None = None
    thickness_m: Decimal | None = None
    rules: tuple[FrequencyRule, ...] | None = None  # in place of the specification's


def read_question(body: Mapping[str, Any]) -> FrequencyQuestion:
    """The question. `frequency` may bring rules of its own, to try one out. Raises `ReadingsError`."""
    values, parts = read_record(QUESTION_FIELDS, (Part("frequency", read_rules),), body)
    lifts, days = values.optional_count("lifts") or 0, values.optional_count("days")
    errors = []
    if not 1 <= lifts <= MOST_LIFTS:
        errors.append(ReadingError("/lifts", "out-of-range", f"1 to {MOST_LIFTS} lifts are wanted here."))
    if days is not None and not 1 <= days <= MOST_DAYS:
        errors.append(ReadingError("/days", "out-of-range", f"1 to {MOST_DAYS} days are wanted here."))
    for name in ("quantity", "plan_area", "length", "thickness"):
        given = values.optional_decimal(name)
        if given is not None and given <= 0:
            errors.append(ReadingError(f"/{name}", "out-of-range", "More than nothing is wanted here."))
    if errors:
        raise ReadingsError(errors)
    return FrequencyQuestion(
        lifts=lifts,
        days=days or 1,
        zone=values.text("zone"),
        material=values.text("material"),
        volume_m3=values.optional_decimal("quantity"),
        area_m2=values.optional_decimal("plan_area"),
        length_m=values.optional_decimal("length"),
        thickness_m=values.optional_decimal("thickness"),
        rules=parts.get("frequency"),
    )
