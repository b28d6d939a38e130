"""Read a chain: every test linked by "retest of", with its reworks, decisions and what was placed above."""

import json
import uuid
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Q

from compaction import chain
from compaction.facts import RetestRule
from compaction.models import Decision, Rework, Test, TestOutcome
from compaction.queries import set_up
from projects.models import JournalHead, Project


@dataclass(frozen=True)
class Family:
    """One chain: its root, its tests' rows and the pure shapes the state follows from."""

    root: str
    rows: dict[str, Test]
    tests: tuple[chain.ChainTest, ...]
    reworks: tuple[chain.ChainRework, ...]
    decisions: tuple[chain.ChainDecision, ...]

    @property
    def members(self) -> frozenset[str]:
        """Every uuid of the chain, known or only named."""
        named = {test.retest_of for test in self.tests if test.retest_of}
        return frozenset({self.root, *self.rows, *named})


def failure_uuid(project_uuid: uuid.UUID, root_test: str, kind: str) -> uuid.UUID:
    """The same for every rebuild and every order of arrival."""
    return uuid.uuid5(project_uuid, f"failure:{root_test}:{kind}")


def families(project: Project, uuids: Iterable[str]) -> list[Family]:
    """The chains that hold the given tests; a fixed number of statements plus one per link of depth."""
    rows = _connected(project, set(uuids))
    if not rows:
        return []
    retest_of = {str(row.client_uuid): str(row.retest_of) if row.retest_of else "" for row in rows.values()}
    grouped: dict[str, dict[str, Test]] = {}
    for key, row in rows.items():
        grouped.setdefault(chain.root_of(key, retest_of), {})[key] = row
    tests = _chain_tests(rows)
    by_failure = {
        str(failure_uuid(project.uuid, member, kind)): (root, kind)
        for root, group in grouped.items()
        for member in {root, *group, *(retest_of[key] for key in group if retest_of[key])}
        for kind in chain.KINDS
    }
    reworks: dict[str, list[chain.ChainRework]] = {}
    for work in Rework.objects.filter(project=project, failure_uuid__in=list(by_failure)):
        root, _ = by_failure[str(work.failure_uuid)]
        reworks.setdefault(root, []).append(
            chain.ChainRework(str(work.client_uuid), work.performed_at, work.method, work.author)
        )
    decisions: dict[str, list[chain.ChainDecision]] = {}
    for ruling in Decision.objects.filter(project=project, subject_kind="failure", subject__in=list(by_failure)):
        root, kind = by_failure[ruling.subject]
        decisions.setdefault(root, []).append(
            chain.ChainDecision(
                str(ruling.client_uuid),
                ruling.decided_at,
                ruling.meaning,
                ruling.person,
                ruling.reason,
                kind,
                ruling.basis_digest,
            )
        )
    return [
        Family(
            root=root,
            rows=group,
            tests=tuple(tests[key] for key in sorted(group)),
            reworks=tuple(reworks.get(root, ())),
            decisions=tuple(decisions.get(root, ())),
        )
        for root, group in sorted(grouped.items())
    ]


def retest_rules(project: Project, found: Iterable[Family]) -> dict[str, RetestRule]:
    """Root -> the rule of retests of the specification that judged it; nothing read where nothing ever failed."""
    failing = [family for family in found if any(test.ever_failed for test in family.tests)]
    if not failing:
        return {}
    under = set_up.load(project, setup_seq=JournalHead.objects.get(project=project).setup_seq)
    rules = {}
    for family in failing:
        row = family.rows.get(family.root) or min(family.rows.values(), key=lambda row: (row.performed_at, row.pk))
        facts = under.specification(row.zone, row.performed_at)
        rules[family.root] = chain.PRACTICE if facts is None or facts.retest is None else facts.retest
    return rules


def _connected(project: Project, wanted: set[str]) -> dict[str, Test]:
    found: dict[str, Test] = {}
    asked: set[str] = set()
    while wanted - asked:
        batch = list(wanted - asked)
        asked.update(batch)
        for start in range(0, len(batch), 300):
            part = batch[start : start + 300]
            for row in Test.objects.filter(project=project).filter(Q(client_uuid__in=part) | Q(retest_of__in=part)):
                found[str(row.client_uuid)] = row
        for row in found.values():
            wanted.add(str(row.client_uuid))
            if row.retest_of:
                wanted.add(str(row.retest_of))
    return found


def _chain_tests(rows: dict[str, Test]) -> dict[str, chain.ChainTest]:
    ever: dict[int, set[str]] = {}
    failing = TestOutcome.objects.filter(
        test_version__test__in=[row.pk for row in rows.values()], result="fail"
    ).values_list("test_version__test_id", "content")
    for test_id, content in failing:
        kinds = {
            item["kind"] for item in json.loads(content)["criteria"] if item["contractual"] and item["result"] == "fail"
        }
        ever.setdefault(test_id, set()).update(kinds)
    return {
        key: chain.ChainTest(
            uuid=key,
            performed_at=row.performed_at,
            retest_of=str(row.retest_of) if row.retest_of else "",
            results=_results(row),
            ever_failed=frozenset(ever.get(row.pk, ())),
            voided=row.voided,
            held=bool(row.open_holds),
            basis=row.basis,
            lift=row.lift,
            outcome_digest=row.outcome_digest,
            label=row.label,
            person=row.technician,
            easting_m=row.easting_m,
            northing_m=row.northing_m,
        )
        for key, row in rows.items()
    }


def _results(row: Test) -> dict[str, str]:
    found = {"density": row.density_result, "moisture": row.moisture_result, "other": row.other_result}
    return {kind: result for kind, result in found.items() if result}
