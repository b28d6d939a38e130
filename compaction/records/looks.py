"""From when a page points something out to its reader: part of a specification, no result follows from it."""

from collections.abc import Mapping
from dataclasses import fields
from decimal import Decimal
from typing import Any, Final

from compaction.calculations.errors import ReadingError, ReadingsError
from compaction.calculations.methods import METHODS
from compaction.calculations.readings import Field, Values, read_fields
from compaction.facts import Looks
from compaction.records.criterion_words import length

LOOK_FIELDS: Final = (
    Field(
        "chosen_places_below", "percent", False, "Places of tests are pointed out that chance gives on fewer lifts than"
    ),
    Field("edge_strip", "percent", False, "Edge of a fill, as a share of its width"),
    Field("crew_days_per_finding", "count", False, "Crew-days of honest people to one finding"),
    Field("count_time", "time", False, "Count of a gauge where the sheet states none"),
    Field("way_in_a_minute", "length", False, "Way between tests in a minute, at most"),
    Field("one_spot", "length", False, "Places nearer than this are one spot"),
    Field("fix_age", "time", False, "Satellite fix before its test, at most"),
    Field("far_fix", "length", False, "Satellite fix from the stated place, at most"),
    Field("yard", "length", False, "Fixes of one far place lie within"),
    Field("elevations_read_to", "length", False, "Elevations are read to, so that less is no untested band"),
)
#: method -> the least time of a test
TIME_FIELDS: Final = tuple(Field(name, "time", False, f"Least time, {name.replace('_', ' ')}") for name in METHODS)
_LIMITS: Final = {
    "chosen_places_below": (Decimal("0.001"), Decimal(20)),
    "edge_strip": (Decimal(1), Decimal(40)),
    "count_time": (Decimal(0), Decimal(3600)),
    "way_in_a_minute": (Decimal(1), Decimal(10_000)),
    "one_spot": (Decimal("0.1"), Decimal(1000)),
    "fix_age": (Decimal(0), Decimal(86_400)),
    "far_fix": (Decimal(10), Decimal(100_000)),
    "yard": (Decimal(1), Decimal(1000)),
    "elevations_read_to": (Decimal(0), Decimal(1)),
}
_MOST_DAYS: Final = 100_000


def read_looks(written: Any, pointer: str) -> Looks:
    """The part of a specification. Raises `ReadingsError`."""
    if not isinstance(written, Mapping):
        raise ReadingError(pointer, "not-an-object", "An object with named members is wanted here, {...}.")
    values = read_fields(LOOK_FIELDS, {name: one for name, one in written.items() if name != "least_times"}, pointer)
    times = read_fields(TIME_FIELDS, written.get("least_times", {}), f"{pointer}/least_times")
    errors = [
        ReadingError(f"{pointer}/{name}", "out-of-range", f"A value from {low} to {high} is wanted here, in SI units.")
        for name, (low, high) in _LIMITS.items()
        if (given := values.optional_decimal(name)) is not None and not low <= given <= high
    ]
    days = values.optional_count("crew_days_per_finding")
    if days is not None and not 1 <= days <= _MOST_DAYS:
        sentence = f"A number from 1 to {_MOST_DAYS} is wanted here."
        errors.append(ReadingError(f"{pointer}/crew_days_per_finding", "out-of-range", sentence))
    if errors:
        raise ReadingsError(errors)
    plain = Looks()
    return Looks(
        chosen_places_below_pct=_or(values, "chosen_places_below", plain.chosen_places_below_pct),
        edge_strip_pct=_or(values, "edge_strip", plain.edge_strip_pct),
        crew_days_per_finding=days or plain.crew_days_per_finding,
        count_minutes=_minutes(_or(values, "count_time", plain.count_minutes * 60)),
        way_m_per_minute=_or(values, "way_in_a_minute", plain.way_m_per_minute),
        one_spot_m=_or(values, "one_spot", plain.one_spot_m),
        fix_minutes=_minutes(_or(values, "fix_age", plain.fix_minutes * 60)),
        far_fix_m=_or(values, "far_fix", plain.far_fix_m),
        yard_m=_or(values, "yard", plain.yard_m),
        elevations_read_to_m=_or(values, "elevations_read_to", plain.elevations_read_to_m),
        least_minutes=tuple(
            (name, _minutes(given)) for name in METHODS if (given := times.optional_decimal(name)) is not None
        ),
    )


def _or(values: Values, name: str, default: Decimal) -> Decimal:
    given = values.optional_decimal(name)
    return default if given is None else given


def _minutes(seconds: Decimal) -> Decimal:
    return seconds / 60


def plain(looks: Looks) -> dict[str, Any]:
    """What is not as it is without a word, for a digest."""
    usual = Looks()
    return {
        one.name: [list(pair) for pair in given] if isinstance(given, tuple) else given
        for one in fields(Looks)
        if (given := getattr(looks, one.name)) != getattr(usual, one.name)
    }


def looks_words(looks: Looks, length_unit: str) -> dict[str, str]:
    """What is looked at -> from when, in words; as stated or as it is without a word."""
    stated = dict(looks.least_minutes)
    least = {name: stated.get(name, Decimal(str(method.least_minutes))) for name, method in METHODS.items()}
    return {
        "places of tests": "pointed out that chance gives on fewer than "
        f"{_number(looks.chosen_places_below_pct)} % of lifts",
        "edge of a fill": f"{_number(looks.edge_strip_pct)} % of its width on each side",
        "honest crew-days to one finding": f"{looks.crew_days_per_finding:,}",
        "least time of a test": ", ".join(
            f"{name.replace('_', ' ')} {_number(value)} min" for name, value in least.items() if value
        ),
        "count of a gauge": f"{_number(looks.count_minutes)} min where the sheet states none",
        "way between tests": f"at most {length(looks.way_m_per_minute, length_unit)} in a minute",
        "one spot": f"places nearer than {length(looks.one_spot_m, length_unit)}",
        "satellite fixes": f"more than {_number(looks.fix_minutes)} min before the test, or from "
        f"{length(looks.far_fix_m, length_unit)} beside the stated place, several within "
        f"{length(looks.yard_m, length_unit)}",
        "untested band": "elevations that fill went through by more than a lift and "
        f"{length(looks.elevations_read_to_m, length_unit)}",
    }


def _number(value: Decimal) -> str:
    return f"{value.normalize():f}"
