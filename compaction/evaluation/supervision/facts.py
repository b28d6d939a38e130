"""What the supervisor's findings look at, and what they are. They change no result and no figure.

Each kind comes on at most one honest crew-day in `Looks.crew_days_per_finding`, under the model that its module states.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from itertools import groupby
from typing import Final

from compaction.facts import Looks

#: where no specification says otherwise
USUAL: Final = Looks()
#: the kinds that a project switches on and off, with their words
KINDS: Final = {
    "repeated": "readings repeated more often than chance explains",
    "pace": "tests faster than the method allows",
    "gauge-twice": "one gauge in two places at once",
    "no-count": "no standard count for a gauge used that day",
    "curve": "points far from their curve",
    "fixes": "patterns of satellite fixes",
}


@dataclass(frozen=True)
class Figure:
    """A reading that varies by itself: its value, the step it is read to, and the least spread of honest readings.

    Value, step and spread in one unit. `written` is the text of the sheet.
    """

    name: str
    value: float
    step: float
    spread: float
    written: str


@dataclass(frozen=True)
class Can:
    """An empty can as weighed: number, mass and step in kg."""

    number: str
    mass_kg: float
    step_kg: float


@dataclass(frozen=True)
class DayTest:
    """One test of the day. `place_m` is easting and northing, or station and offset; `crew` made it."""

    uuid: str
    label: str
    crew: str
    method: str
    performed_at: datetime
    reference: str = ""
    setting: str = ""  # mode and depth of a gauge: readings are compared within one
    figures: tuple[Figure, ...] = ()
    cans: tuple[Can, ...] = ()
    gauge: str = ""
    states_count: bool = False
    least_minutes: float = 0.0
    place_m: tuple[float, float] | None = None
    check_of: str = ""
    retest_of: str = ""
    percent_compaction: float | None = None
    remarks: tuple[str, ...] = field(default=())  # codes of the findings that the test itself carries

    @property
    def name(self) -> str:
        """What people call it."""
        return self.label or self.uuid[:8]


@dataclass(frozen=True)
class SupervisionFinding:
    """Something to look at: kind (of `KINDS`), code, the tests, and a sentence with the figures and the odds."""

    kind: str
    code: str
    tests: tuple[str, ...]
    sentence: str
    numbers: dict[str, str]


def together(found: Iterable[Looks]) -> Looks:
    """Of the specifications in force on a day: in each point the one that speaks up soonest."""
    several = list(dict.fromkeys(found)) or [USUAL]
    least: dict[str, Decimal] = {}
    for one in several:
        for method, minutes in one.least_minutes:
            least[method] = max(minutes, least.get(method, minutes))
    return Looks(
        chosen_places_below_pct=max(one.chosen_places_below_pct for one in several),
        edge_strip_pct=max(one.edge_strip_pct for one in several),
        crew_days_per_finding=min(one.crew_days_per_finding for one in several),
        count_minutes=max(one.count_minutes for one in several),
        way_m_per_minute=min(one.way_m_per_minute for one in several),
        one_spot_m=min(one.one_spot_m for one in several),
        fix_minutes=min(one.fix_minutes for one in several),
        far_fix_m=min(one.far_fix_m for one in several),
        yard_m=max(one.yard_m for one in several),
        elevations_read_to_m=min(one.elevations_read_to_m for one in several),
        least_minutes=tuple(sorted(least.items())),
    )


def by_crew(tests: Iterable[DayTest]) -> list[tuple[str, list[DayTest]]]:
    """The tests of each crew, in the order of their time."""
    ordered = sorted(tests, key=lambda test: (test.crew, test.performed_at, test.uuid))
    return [(crew, list(group)) for crew, group in groupby(ordered, key=lambda test: test.crew)]


def names(tests: Sequence[DayTest], *, most: int = 8) -> str:
    """Tests as a sentence names them: "tests 101, 102 and 103"."""
    shown = [test.name for test in tests[:most]]
    more = len(tests) - len(shown)
    if more:
        return f"tests {', '.join(shown)} and {more} more"
    return f"test {shown[0]}" if len(shown) == 1 else f"tests {', '.join(shown[:-1])} and {shown[-1]}"


def odds(chance: float) -> str:
    """How often a chance comes, in crew-days.

    >>> odds(0.0004), odds(1e-9)
    ('about once in 2,000 crew-days', 'less than once in a million crew-days')
    """
    days = 1.0 / max(chance, 1e-12)
    if days > 1e6:
        return "less than once in a million crew-days"
    return f"about once in {float(f'{days:.1g}'):,.0f} crew-days"
