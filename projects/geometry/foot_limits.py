"""When a second foot is worth a question: limits that an alignment may state for itself."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from projects.geometry.linear_units import LinearUnit
from projects.geometry.plain_content import ContentError, as_object, optional_decimal, plain_decimal

_KEYS = ("ratio", "apart", "station_within")


@dataclass(frozen=True)
class FootLimits:
    """Lengths in metres. The values stand where an alignment states none (common practice, no source).

    `ratio`: a foot up to this many times as far as the nearest is as plausible. `apart_m`: so is one that is farther
    by no more than this, and feet whose stations differ by less are one place. `station_within_m`: how far a station
    stated beside coordinates may be from the foot that it chooses.
    """

    ratio: Decimal = Decimal("1.5")
    apart_m: Decimal = Decimal("0.5")
    station_within_m: Decimal = Decimal("3")

    def reach_m(self, nearest_m: float, uncertainty_m: float = 0.0) -> float:
        """Up to which distance a foot is as plausible as the nearest; the position's own accuracy widens it."""
        return max(float(self.ratio) * nearest_m, nearest_m + max(float(self.apart_m), uncertainty_m))


def foot_limits_words(limits: FootLimits, unit: LinearUnit) -> str:
    """The limits in a sentence, in the unit of the alignment."""
    apart, within = (
        f"{plain_decimal(unit.from_metres(value).quantize(Decimal('0.01')))} {unit.symbol}"
        for value in (limits.apart_m, limits.station_within_m)
    )
    return (
        f"Coordinates are a question where a second place is up to {plain_decimal(limits.ratio)} times as far as the "
        f"nearest, or {apart} farther; a station beside them chooses one within {within}."
    )


def foot_limits_from_plain(content: Any, unit: LinearUnit) -> FootLimits:
    """From stored content, lengths in the alignment's unit. Raises `ContentError`."""
    if content is None:
        return FootLimits()
    stated: Mapping[str, Any] = as_object(content, "feet", frozenset(_KEYS))
    ratio, apart, within = (optional_decimal(stated, name, "feet.") for name in _KEYS)
    if ratio is not None and not 1 <= ratio <= 10:
        raise ContentError("feet.ratio", "a ratio from 1 to 10 is needed; 1 leaves only equal distances.")
    for name, value in (("apart", apart), ("station_within", within)):
        if value is not None and not 0 <= unit.to_metres(value) <= 100:
            raise ContentError(f"feet.{name}", "a length from 0 to 100 m is needed.")
    usual = FootLimits()
    return FootLimits(
        usual.ratio if ratio is None else ratio,
        usual.apart_m if apart is None else unit.to_metres(apart),
        usual.station_within_m if within is None else unit.to_metres(within),
    )


def foot_limits_to_plain(limits: FootLimits, unit: LinearUnit) -> dict[str, str]:
    """What differs from the usual limits; empty where nothing does, so that contents without it stay as they are."""
    usual = FootLimits()
    stated = {
        "ratio": None if limits.ratio == usual.ratio else limits.ratio,
        "apart": None if limits.apart_m == usual.apart_m else unit.from_metres(limits.apart_m),
        "station_within": (
            None if limits.station_within_m == usual.station_within_m else unit.from_metres(limits.station_within_m)
        ),
    }
    return {name: plain_decimal(value) for name, value in stated.items() if value is not None}
