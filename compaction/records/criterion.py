"""One criterion of a specification as the engineer writes it: quantity, limits, and the conditions on which it holds.

Limits are percentages, or densities and lengths where the quantity is one. A range of a fact says of each of its ends
whether it is included: "at_least" and "at_most" are, "above" and "below" are not.
"""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.criteria import QUANTITIES, UNIT_KINDS
from compaction.calculations.criterion_conditions import MEASURED
from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.lot_rules import STATISTICS
from compaction.calculations.methods import METHODS
from compaction.calculations.readings import Field, Values, read_fields
from compaction.facts import NO_CONDITIONS, Bounds, Conditions, CriterionFacts
from compaction.records.reading import long_text

_LIMIT: Final = "percent|density|length"
ENDS: Final = ("at_least", "above", "at_most", "below")
FIELDS: Final = (
    Field("quantity", "choice", True, "Quantity", tuple(QUANTITIES)),
    Field("minimum", _LIMIT, False, "Minimum"),
    Field("maximum", _LIMIT, False, "Maximum"),
    Field("equals", "length", False, "Probe depth, exactly"),
    Field("contractual", "yes_no", False, "Contractual"),
    Field("statistic", "choice", False, "Statistic of several tests", tuple(STATISTICS)),
    Field("zone", "text", False, "Zone"),
    Field("depth_from", "length", False, "From depth below grade"),
    Field("depth_to", "length", False, "To depth below grade"),
    Field("structure", "text", False, "Structure beside it"),
    *(
        Field(name, "group", False, words.capitalize(), fields=tuple(Field(end, kind, False, end) for end in ENDS))
        for name, (kind, words) in MEASURED.items()
    ),
)
#: members that are lists of words -> the most there may be, and the words allowed (None: any)
LISTS: Final[Mapping[str, tuple[int, tuple[str, ...] | None]]] = {
    "group_symbols": (20, None),
    "aashto_groups": (20, None),
    "methods": (20, tuple(METHODS)),
    "reference_methods": (20, None),
}
LONGEST_WORD: Final = 40
LONGEST_CLAUSE: Final = 2000
DEEPEST_M: Final = 1000
MOST: Final = 60


def read(written: Any, pointer: str) -> list[CriterionFacts]:
    """The criteria in order, numbered from 1. Raises `ReadingError`, `ReadingsError` with every problem."""
    if not isinstance(written, list) or len(written) > MOST:
        raise ReadingError(pointer, "not-a-list", f"A list of at most {MOST} entries is wanted here.")
    if not written:
        raise ReadingError(pointer, "no-criteria", "A specification needs at least one criterion.")
    errors: list[ReadingError] = []
    found: list[CriterionFacts] = []
    for index, item in enumerate(written):
        try:
            found.append(replace(_one(item, f"{pointer}/{index}"), number=index + 1))
        except ReadingError as error:
            errors.append(error)
        except ReadingsError as several:
            errors.extend(several.errors)
    if errors:
        raise ReadingsError(errors)
    return found


def _one(item: Any, pointer: str) -> CriterionFacts:
    lists: dict[str, tuple[str, ...]] = {}
    clause = ""
    if isinstance(item, Mapping):
        lists = {name: _words(item[name], f"{pointer}/{name}", name) for name in LISTS if name in item}
        clause = long_text(item["clause"], f"{pointer}/clause", limit=LONGEST_CLAUSE) if "clause" in item else ""
        flat = {name: value for name, value in item.items() if name not in LISTS and name != "clause"}
        item = {"contractual": True, **flat}
    values = read_fields(FIELDS, item, pointer)
    quantity = values.text("quantity")
    minimum, maximum, unit = _limits(values, item, quantity, pointer)
    for name in ("depth_from", "depth_to"):
        depth_m = values.optional_decimal(name)
        if depth_m is not None and not 0 <= depth_m <= DEEPEST_M:
            raise ReadingError(
                f"{pointer}/{name}", "out-of-range", f"A depth below grade lies between 0 and {DEEPEST_M} m."
            )
    statistic = values.text("statistic").removeprefix("each")
    conditions = Conditions(
        ranges=tuple(
            (name, _bounds(group, f"{pointer}/{name}"))
            for name in MEASURED
            if (group := values.group(name)) is not None
        ),
        group_symbols=lists.get("group_symbols", ()),
        aashto_groups=lists.get("aashto_groups", ()),
        methods=lists.get("methods", ()),
        structure=values.text("structure"),
    )
    if any(name == "structure_distance" for name, _ in conditions.ranges) and not conditions.structure:
        raise ReadingError(f"{pointer}/structure", "missing", "Name the structure that the distance is measured from.")
    return CriterionFacts(
        number=0,
        quantity=quantity,
        minimum=minimum,
        maximum=maximum,
        # A mean is judged over its lot; at one test it can only inform.
        contractual=values.yes("contractual") and not statistic,
        zone=values.text("zone"),
        depth_from_m=values.optional_decimal("depth_from"),
        depth_to_m=values.optional_decimal("depth_to"),
        clause=clause,
        unit=unit,
        statistic=statistic,
        reference_methods=lists.get("reference_methods", ()),
        conditions=NO_CONDITIONS if conditions == NO_CONDITIONS else conditions,
    )


def _limits(
    values: Values, item: Mapping[str, Any], quantity: str, pointer: str
) -> tuple[Decimal | None, Decimal | None, str]:
    """Minimum, maximum and the unit they are written in."""
    given = {name: values.optional_decimal(name) for name in ("minimum", "maximum", "equals")}
    kind = UNIT_KINDS.get(quantity, "percent")
    if given["equals"] is not None and (quantity != "probe_depth" or given["minimum"] or given["maximum"]):
        raise ReadingError(
            f"{pointer}/equals", "not-for-this-quantity", "'equals' belongs to a probe depth, without other limits."
        )
    for name, value in given.items():
        if value is not None and values.kind(name) != kind:
            raise ReadingError(
                f"{pointer}/{name}", "unit-of-another-quantity", f"A limit of {QUANTITIES[quantity]} is a {kind}."
            )
    minimum, maximum = (given["equals"], given["equals"]) if given["equals"] else (given["minimum"], given["maximum"])
    if minimum is None and maximum is None:
        raise ReadingError(pointer, "no-limit", "A criterion needs a minimum, a maximum or both.")
    if minimum is not None and maximum is not None and minimum > maximum:
        raise ReadingError(pointer, "limits-crossed", f"The minimum {minimum} lies above the maximum {maximum}.")
    first = next(name for name in ("minimum", "maximum", "equals") if given[name] is not None)
    return minimum, maximum, str(item[first]).partition(" ")[2]


def _bounds(group: Values, pointer: str) -> Bounds:
    ends = {end: group.optional_decimal(end) for end in ENDS}
    given = {end: value for end, value in ends.items() if value is not None}
    if not given or ("at_least" in given and "above" in given) or ("at_most" in given and "below" in given):
        raise ReadingError(
            pointer, "range-unclear", "Give one lower end (at_least, above), one upper end (at_most, below), or both."
        )
    low, high = given.get("at_least", given.get("above")), given.get("at_most", given.get("below"))
    if low is not None and high is not None and low > high:
        raise ReadingError(pointer, "limits-crossed", "The lower end of the range lies above the upper one.")
    return Bounds(**ends)


def _words(written: Any, pointer: str, name: str) -> tuple[str, ...]:
    most, allowed = LISTS[name]
    if not isinstance(written, list) or not 1 <= len(written) <= most:
        raise ReadingError(pointer, "not-a-list", f"A list of one to {most} words is wanted here.")
    for index, one in enumerate(written):
        if not isinstance(one, str) or not one.isprintable() or not 0 < len(one.strip()) <= LONGEST_WORD:
            raise ReadingError(
                f"{pointer}/{index}", "text-not-plain", f"One to {LONGEST_WORD} printable characters are wanted here."
            )
        if allowed is not None and one not in allowed:
            raise ReadingError(f"{pointer}/{index}", "not-a-choice", f"Use one of {', '.join(allowed)}.")
    return tuple(dict.fromkeys(one.strip() for one in written))


def plain(facts: CriterionFacts) -> dict[str, Any]:
    """What a result can depend on beside place and limits, only where it says something: a digest's part."""
    conditions = facts.conditions
    given: dict[str, Any] = {
        "statistic": facts.statistic,
        "reference_methods": sorted(facts.reference_methods),
        "ranges": {
            name: {end: value for end in ENDS if (value := getattr(bounds, end)) is not None}
            for name, bounds in conditions.ranges
        },
        "group_symbols": sorted(conditions.group_symbols),
        "aashto_groups": sorted(conditions.aashto_groups),
        "methods": sorted(conditions.methods),
        "structure": conditions.structure,
    }
    return {name: value for name, value in given.items() if value}
