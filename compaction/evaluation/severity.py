"""The one place where a specification turns a finding into a hold."""

from dataclasses import replace

from compaction.facts import Outcome, SpecificationFacts


def as_specified(outcome: Outcome, specification: SpecificationFacts | None) -> Outcome:
    """The outcome with the findings that the specification names as holds; nothing is lowered, no result moves."""
    if specification is None or not specification.held_findings:
        return outcome
    held = frozenset(specification.held_findings)
    findings = (replace(finding, severity="hold") if finding.code in held else finding for finding in outcome.findings)
    return replace(outcome, findings=tuple(findings))
