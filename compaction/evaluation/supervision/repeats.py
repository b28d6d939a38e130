"""Readings that repeat within a crew and day more often than their digits and spread explain.

Model: honest readings of one material scatter normally by at least their `spread` and are rounded to a step h; two of
them are equal with the chance h / (2 s sqrt(pi)), and the number of repetitions among n is Poisson with the mean
n (n - 1) / 2 times that (the birthday problem). From eight different readings on the spread is taken from them, at its
lower 95 % bound. What is examined shares the risk of one honest crew-day in `crew_days` (Bonferroni).
"""

import math
from collections import defaultdict
from collections.abc import Hashable, Mapping, Sequence

from compaction.evaluation.supervision.facts import (
    USUAL,
    DayTest,
    Figure,
    SupervisionFinding,
    by_crew,
    names,
    odds,
)
from compaction.evaluation.supervision.figures import CAN_SPREAD_KG, common_step

ENOUGH_FOR_A_SPREAD = 8
#: Readings of one spot rise and fall together: two of them repeat together more often than alone would say. 2 holds up
#: to a correlation of 0.87 between them (1 / sqrt(1 - r^2)).
TOGETHER = 2.0


def repeated(tests: Sequence[DayTest], *, crew_days: int = USUAL.crew_days_per_finding) -> list[SupervisionFinding]:
    """All repetitions of a day, of each crew by itself, that come on one honest crew-day in `crew_days` or fewer."""
    found = []
    for crew, made in by_crew(tests):
        candidates = [*_by_material(made), *_same_can(made)]
        for chance, code, those, what in candidates:
            shared = min(1.0, chance * len(candidates))
            if shared * crew_days > 1.0:
                continue
            sentence = (
                f"{crew}: {what} in {names(those)}. By chance, with honest readings of their spread and digits, that "
                f"comes {odds(shared)}. Ask how the readings were taken; a copy on the sheet is one explanation."
            )
            uuids = tuple(test.uuid for test in those)
            found.append(SupervisionFinding("repeated", code, uuids, sentence, {"chance": f"{shared:.2g}"}))
    return found


Candidate = tuple[float, str, list[DayTest], str]


def _by_material(made: Sequence[DayTest]) -> list[Candidate]:
    groups: dict[tuple[str, ...], list[DayTest]] = defaultdict(list)
    for test in made:
        names_read = tuple(figure.name for figure in test.figures)
        if names_read:
            groups[test.method, test.setting, test.reference, *names_read].append(test)
    found: list[Candidate] = []
    for group in groups.values():
        if len(group) < 2:
            continue
        columns = list(zip(*(test.figures for test in group), strict=True))
        chances = [pair_chance(column) for column in columns]
        for column, chance in zip(columns, chances, strict=True):
            values = [figure.value for figure in column]
            one = column[0].name.replace("_", " ")
            found.append(_candidate("reading-repeated", group, values, chance, f"the same {one} stands"))
        if len(columns) > 1:
            together = min(1.0, math.prod(chances) * TOGETHER ** (len(chances) - 1))
            rows = [tuple(figure.value for figure in test.figures) for test in group]
            several = " and ".join(column[0].name.replace("_", " ") for column in columns)
            found.append(_candidate("sheet-repeated", group, rows, together, f"the same {several} stand together"))
    return found


def pair_chance(column: Sequence[Figure]) -> float:
    """How likely two honest readings of this row are equal."""
    spread = column[0].spread
    values = sorted({figure.value for figure in column})
    if len(values) >= ENOUGH_FOR_A_SPREAD:
        surely = 1.0 - 1.645 / math.sqrt(2.0 * (len(values) - 1))
        middle = math.fsum(values) / len(values)
        found = math.sqrt(math.fsum((value - middle) ** 2 for value in values) / (len(values) - 1))
        spread = max(spread, found * surely)
    return min(1.0, common_step(column) / (2.0 * spread * math.sqrt(math.pi)))


def _candidate(code: str, group: Sequence[DayTest], values: Sequence[Hashable], chance: float, what: str) -> Candidate:
    seen: Mapping[Hashable, list[DayTest]] = _alike(group, values)
    again = len(group) - len(seen)
    those = [test for alike in seen.values() if len(alike) > 1 for test in alike]
    written = sorted({_written(test, code, what) for test in those})
    shown = f" ({', '.join(written[:3])}{', ...' if len(written) > 3 else ''})" if written else ""
    return poisson_tail(again, math.comb(len(group), 2) * chance), code, those, what + shown


def _alike(group: Sequence[DayTest], values: Sequence[Hashable]) -> dict[Hashable, list[DayTest]]:
    seen: dict[Hashable, list[DayTest]] = defaultdict(list)
    for test, value in zip(group, values, strict=True):
        seen[value].append(test)
    return seen


def _written(test: DayTest, code: str, what: str) -> str:
    if code == "sheet-repeated":
        return " with ".join(figure.written for figure in test.figures)
    return next(figure.written for figure in test.figures if figure.name.replace("_", " ") in what)


def _same_can(made: Sequence[DayTest]) -> list[Candidate]:
    """Empty cans with different numbers and the same mass: one can, perhaps, under another number."""
    mass_of: dict[str, tuple[float, float, DayTest]] = {}
    for test in made:
        for can in test.cans:
            mass_of.setdefault(can.number, (can.mass_kg, can.step_kg, test))
    if len(mass_of) < 2:
        return []
    numbers: dict[float, list[str]] = defaultdict(list)
    for number, (mass, _, _) in mass_of.items():
        numbers[mass].append(number)
    again = len(mass_of) - len(numbers)
    step = max(step for _, step, _ in mass_of.values())
    mean = math.comb(len(mass_of), 2) * min(1.0, step / (2.0 * CAN_SPREAD_KG * math.sqrt(math.pi)))
    alike = [number for several in numbers.values() if len(several) > 1 for number in several]
    those = list({mass_of[number][2].uuid: mass_of[number][2] for number in alike}.values())
    what = f"empty cans {', '.join(alike)} have the same mass under different numbers"
    return [(poisson_tail(again, mean), "can-with-another-number", those, what)]


def poisson_tail(count: int, mean: float) -> float:
    """Chance of at least `count` events of a Poisson number with that mean.

    >>> round(poisson_tail(2, 0.1), 5), poisson_tail(0, 0.1)
    (0.00468, 1.0)
    """
    if count <= 0:
        return 1.0
    term, tail, number = math.exp(-mean) * mean**count / math.factorial(count), 0.0, count
    while term > tail * 1e-12:
        tail += term
        number += 1
        term *= mean / number
        if number > count + 1000:
            break
    return min(1.0, tail)
