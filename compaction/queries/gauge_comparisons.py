"""Gauge tests beside direct tests: read from the tables, paired, and compared key by key."""

import json
import uuid
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from django.db.models import F

from compaction import observation
from compaction.calculations import comparison_rules
from compaction.calculations.comparison_rules import ComparisonRule
from compaction.calculations.methods import METHODS
from compaction.evaluation import gauge_comparison, gauge_pairs
from compaction.evaluation.gauge import key_of
from compaction.evaluation.gauge_comparison import GaugeComparison
from compaction.evaluation.gauge_pairs import SpotPair, SpotTest
from compaction.instrument_facts import GaugeKey
from compaction.models import GaugePair, GaugeRule, TestVersion
from projects.access import Open
from projects.models import Project

GAUGE: Final = "nuclear_gauge"
#: whatever digs the soil out and weighs it
_DUG: Final = frozenset({"sand", "balloon", "water", "cylinder"})
DIRECT: Final = tuple(code for code, method in METHODS.items() if method.volume_by in _DUG)
_NAMES: Final = uuid.UUID("7e6f3b0a-7c8e-5f0a-9c53-6d1d4d5f2c11")


@dataclass(frozen=True)
class KeyLine:
    """One key of the project with its comparison."""

    id: uuid.UUID
    found: GaugeComparison


def key_id(project: Project, key: GaugeKey) -> uuid.UUID:
    """The name of a key in addresses: a serial number may hold any sign."""
    return uuid.uuid5(_NAMES, json.dumps([str(project.uuid), key.gauge, key.reference, key.mode, key.notch]))


def rule_in_force(opened: Open) -> ComparisonRule:
    """The rule that the project chose last; ten pairs by ATT-48 until it chose."""
    newest = GaugeRule.objects.filter(project=opened.project).order_by("received_at", "id").last()
    return comparison_rules.rule(newest.rule if newest else comparison_rules.DEFAULT_RULE)


def comparisons(opened: Open, *, rule: ComparisonRule | None = None) -> list[KeyLine]:
    """Every key that a gauge test of the project belongs to, those with pairs first. Three statements."""
    rule = rule or rule_in_force(opened)
    tests = _tests(opened.project)
    pairs: dict[GaugeKey, list[SpotPair]] = {}
    for pair in _pairs(opened.project, tests):
        pairs.setdefault(pair.key, []).append(pair)
    counted: dict[GaugeKey, int] = {}
    for test in tests.values():
        key = key_of(test.observation)
        if key is not None:
            counted[key] = counted.get(key, 0) + 1
    lines = [
        KeyLine(
            key_id(opened.project, key),
            gauge_comparison.compare(key, pairs.get(key, []), rule=rule, gauge_tests=count),
        )
        for key, count in counted.items()
    ]
    return sorted(lines, key=lambda line: (-len(line.found.pairs), line.found.key.gauge, line.found.key.reference))


def comparison(opened: Open, id_: uuid.UUID, *, rule: ComparisonRule | None = None) -> GaugeComparison | None:
    """The comparison of one key; None where no gauge test has it."""
    return next((line.found for line in comparisons(opened, rule=rule) if line.id == id_), None)


def of_key(opened: Open, key: GaugeKey) -> GaugeComparison | None:
    """The same by the key itself, under the rule in force."""
    return comparison(opened, key_id(opened.project, key))


def _tests(project: Project) -> dict[str, SpotTest]:
    """Current versions of gauge tests and direct tests that were not voided. One statement."""
    rows = TestVersion.objects.filter(
        test__project=project,
        test__voided=False,
        test__method__in=(GAUGE, *DIRECT),
        version=F("test__current_version"),
    ).values_list("test__client_uuid", "test__label", "content")
    return {
        str(client_uuid): SpotTest(str(client_uuid), label, observation.read(json.loads(content)))
        for client_uuid, label, content in rows
    }


def _pairs(project: Project, tests: dict[str, SpotTest]) -> Iterable[SpotPair]:
    """By `check_of` in either direction, by a person's word, and by the oven specimen of the gauge test itself."""
    found: dict[tuple[str, str], tuple[str, bool, str]] = {}
    for test in tests.values():
        other = tests.get(test.observation.check_of)
        if other is not None and (both := _sides(test, other)):
            found[both] = ("check", True, "")
    with_direct = {gauge for gauge, _ in found}
    for test in tests.values():
        oven = any(one.method == "oven" and one.fraction == "total" for one in test.observation.water_contents)
        if test.observation.method == GAUGE and oven and test.uuid not in with_direct:
            found[test.uuid, ""] = ("own_specimen", True, "")
    for row in GaugePair.objects.filter(project=project).order_by("received_at", "id"):
        both = (str(row.gauge_test), str(row.direct_test or ""))
        origin = found[both][0] if both in found else "record"
        if origin != "record" or row.counts or both in found:
            found[both] = (origin, row.counts, f"{row.reason} ({row.person})")
    for (gauge, direct), (origin, counts, reason) in found.items():
        if gauge not in tests or (direct and direct not in tests):
            continue  # voided since, or not sent yet
        pair = gauge_pairs.pair_up(
            tests[gauge], tests[direct] if direct else None, origin=origin, counts=counts, reason=reason
        )
        if pair is not None:
            yield pair


def _sides(one: SpotTest, other: SpotTest) -> tuple[str, str] | None:
    """(gauge test, direct test) of two linked tests, whichever way they are linked."""
    methods = one.observation.method == GAUGE, other.observation.method == GAUGE
    if methods == (True, False):
        return one.uuid, other.uuid
    if methods == (False, True):
        return other.uuid, one.uuid
    return None
