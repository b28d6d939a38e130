"""How often to test, as a specification writes it: `frequency`, a list of rules with their counters."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.methods import METHODS
from compaction.calculations.quantities import UNITS, parse_count, parse_quantity
from compaction.calculations.readings import Field, Values, read_fields
from compaction.frequency_rules import BASES, WITHIN, Counter, FrequencyRule, Reduced
from compaction.observation.choices import PURPOSES

COUNTS: Final = ("tests", "references")
#: basis -> kind of quantity of its interval; the others count things
KINDS: Final[Mapping[str, str]] = {"volume": "volume", "area": "area", "length": "length", "height": "length"}
RULE_FIELDS: Final = (
    Field("name", "text", True, "Name of the rule"),
    Field("zone", "text", False, "Zone"),
    Field("material", "text", False, "Material"),
    Field("counts", "choice", False, "What is counted", COUNTS),
    Field("after_passes", "count", False, "Reduced after so many passes in a row"),
    Field("one_in", "count", False, "Then one lift of so many"),
    Field("signed_release", "yes_no", False, "A lift is released by signature"),
    Field("clause", "text", False, "Clause"),
)
COUNTER_FIELDS: Final = (
    Field("basis", "choice", True, "Counts up", BASES),
    Field("within", "choice", False, "Accumulates over", WITHIN),
    Field("minimum", "count", False, "At least"),
)
MOST_RULES: Final = 30
MOST_COUNTERS: Final = 6
MOST: Final = 1000


def read_rules(written: Any, pointer: str) -> tuple[FrequencyRule, ...]:
    """The rules of a specification. Raises `ReadingsError` with every problem."""
    rows = _listed(written, pointer, MOST_RULES)
    rules: list[FrequencyRule] = []
    errors: list[ReadingError] = []
    for number, row in enumerate(rows):
        try:
            rules.append(_rule(row, f"{pointer}/{number}"))
        except ReadingsError as several:
            errors += several.errors
        except ReadingError as error:
            errors.append(error)
    names = [rule.name for rule in rules]
    if len(set(names)) != len(names):
        errors.append(ReadingError(pointer, "name-twice", "Two rules have the same name; sentences tell them by it."))
    if errors:
        raise ReadingsError(errors)
    return tuple(rules)


def _listed(written: Any, pointer: str, most: int) -> list[Any]:
    if not isinstance(written, list) or not written or len(written) > most:
        raise ReadingError(pointer, "not-a-list", f"A list of 1 to {most} entries is wanted here.")
    return written


def _rule(written: Any, pointer: str) -> FrequencyRule:
    if not isinstance(written, Mapping):
        raise ReadingError(pointer, "not-an-object", "A rule is an object with named members, {...}.")
    apart = {"counters", "methods", "purposes"}
    values = read_fields(RULE_FIELDS, {name: value for name, value in written.items() if name not in apart}, pointer)
    if "counters" not in written:
        raise ReadingError(f"{pointer}/counters", "missing", "Give 'counters'.")
    counters = tuple(
        _counter(row, f"{pointer}/counters/{number}")
        for number, row in enumerate(_listed(written["counters"], f"{pointer}/counters", MOST_COUNTERS))
    )
    methods = _words(written.get("methods", []), f"{pointer}/methods", tuple(METHODS))
    if any(one.basis == "tests" for one in counters) and (len({one.basis for one in counters}) > 1 or not methods):
        raise ReadingError(
            f"{pointer}/counters",
            "checks-apart",
            "Tests checked by another method need a rule of their own, with the methods that check them.",
        )
    return FrequencyRule(
        name=values.text("name"),
        counters=counters,
        zone=values.text("zone"),
        material=values.text("material"),
        methods=methods,
        counts=values.text("counts") or "tests",
        purposes=_words(written.get("purposes", ["acceptance"]), f"{pointer}/purposes", tuple(PURPOSES)),
        reduced=_reduced(values, pointer),
        signed_release=values.yes("signed_release"),
        clause=values.text("clause"),
    )


def _counter(written: Any, pointer: str) -> Counter:
    if not isinstance(written, Mapping):
        raise ReadingError(pointer, "not-an-object", "A counter is an object with named members, {...}.")
    flat = {name: value for name, value in written.items() if name != "interval"}
    values = read_fields(COUNTER_FIELDS, flat, pointer)
    basis, here = values.text("basis"), f"{pointer}/interval"
    unit = ""
    if basis in KINDS:
        interval = parse_quantity(written.get("interval"), KINDS[basis], here)
        unit = str(written["interval"]).rpartition(" ")[2]
    else:
        interval = Decimal(parse_count(written.get("interval", 1), here))
    if interval <= 0:
        raise ReadingError(here, "out-of-range", "One test for every so much: more than nothing is wanted here.")
    minimum = values.optional_count("minimum") or 0
    if minimum > MOST:
        raise ReadingError(f"{pointer}/minimum", "out-of-range", f"At most {MOST} tests can be asked for here.")
    return Counter(basis, interval, values.text("within") or "lift", minimum, unit)


def _reduced(values: Values, pointer: str) -> Reduced | None:
    after, one_in = values.optional_count("after_passes"), values.optional_count("one_in")
    if after is None and one_in is None:
        return None
    if not after or not one_in or one_in < 2 or max(after, one_in) > MOST:
        raise ReadingError(
            f"{pointer}/one_in", "reduced", "A reduced frequency needs 'after_passes' from 1 and 'one_in' from 2."
        )
    return Reduced(after, one_in)


def _words(written: Any, pointer: str, known: tuple[str, ...]) -> tuple[str, ...]:
    if not isinstance(written, list) or any(word not in known for word in written):
        raise ReadingError(pointer, "not-a-choice", f"A list of words out of {', '.join(known)} is wanted here.")
    return tuple(dict.fromkeys(written))


def digested(rules: tuple[FrequencyRule, ...]) -> list[list[Any]]:
    """What of the rules names a specification revision; the clause text is not among it."""
    return [
        [
            rule.name,
            [[one.basis, one.interval, one.within, one.minimum] for one in rule.counters],
            rule.zone,
            rule.material,
            list(rule.methods),
            rule.counts,
            list(rule.purposes),
            None if rule.reduced is None else [rule.reduced.after_passes, rule.reduced.one_in],
            rule.signed_release,
        ]
        for rule in rules
    ]


def units() -> dict[str, list[str]]:
    """Basis -> the units in which its interval may be written."""
    return {basis: list(UNITS[kind]) for basis, kind in KINDS.items()}
