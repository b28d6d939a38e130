"""A gauge against direct tests: what the pairs say, pairs by a person's word, the rule, corrections."""

from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api.operations import Operation
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.revisions import change, sent_object
from api.v1.rulings import ruled
from compaction.actions import gauge_corrections
from compaction.actions.previews import Preview
from compaction.actions.refusals import Unknown
from compaction.queries import gauge_comparisons
from compaction.queries.gauge_comparisons import KeyLine
from compaction.queries.gauge_corrections import CorrectionLine, correction_lines

PROBLEMS = ("content-conflict", "content-unreadable", "conflict")


def key_of(line: KeyLine) -> dict[str, Any]:
    """A key with what its pairs say in short."""
    found = line.found
    return {
        "id": str(line.id),
        **answers.plain(found.key),
        "gauge_tests": found.gauge_tests,
        "pairs": len(found.pairs),
        "rule": found.rule.code,
        "verdict": found.verdict,
        "digest": found.digest,
        "quantities": [
            {
                "quantity": one.quantity,
                "unit": one.unit,
                "pairs": len(one.pairs),
                "mean_difference": answers.plain(one.found.mean_difference if one.found else None),
                "confidence_low": answers.plain(one.found.confidence_low if one.found else None),
                "confidence_high": answers.plain(one.found.confidence_high if one.found else None),
                "verdict": one.judged.verdict,
                "sentences": list(one.judged.sentences),
            }
            for one in found.quantities
        ],
    }


def correction(line: CorrectionLine) -> dict[str, Any]:
    """A correction with its adoption."""
    return {
        "id": line.uuid,
        **answers.plain(line.key),
        "effective_from": answers.plain(line.facts.effective_from),
        "ends": line.ends,
        "in_force": line.in_force,
        "author": line.author,
        "received_at": answers.plain(line.received_at),
        "reason": line.reason,
        "pairs": line.pairs,
        "analysis_digest": line.analysis_digest,
        "content": line.content,
        "adoption": None if line.adoption is None else answers.decision(line.adoption),
    }


def noted(done: gauge_corrections.Noted) -> Response:
    """The answer to a record of this room."""
    content = {"id": str(done.row.client_uuid), "receipt": answers.receipt(done.receipt)}
    return answers.once(content, created=done.created)


def foreseen(found: Preview) -> dict[str, Any]:
    """Counts, and each test that changes."""
    names = ("total", "changed", "pass_to_fail", "fail_to_pass", "becomes_final", "buried", "sentence")
    return {**{name: getattr(found, name) for name in names}, "rows": [change(row) for row in found.rows]}


class GaugeComparisonList(ProjectResource):
    """Every gauge, soil, mode and depth of the project's gauge tests."""

    tag = "gauges"
    whole_project = True
    operations = {
        "GET": Operation(
            needs="read",
            summary="List comparisons of gauges with direct tests",
            words="Each gauge, reference, mode and depth stands by itself. `digest` names the figures.",
            answers={200: "GaugeComparisonList"},
        )
    }

    def get(self, request: Request, project: str) -> Response:
        """The list."""
        return Response({"items": [key_of(line) for line in gauge_comparisons.comparisons(self.opened)]})


class GaugeComparisonDetail(ProjectResource):
    """One comparison: pairs, statistics, verdict, corrections."""

    tag = "gauges"
    whole_project = True
    operations = {
        "GET": Operation(needs="read", summary="Read a comparison of a gauge", answers={200: "GaugeComparison"})
    }

    def get(self, request: Request, project: str, comparison: UUID) -> Response:
        """The comparison with everything that it stands on."""
        found = gauge_comparisons.comparison(self.opened, comparison)
        if found is None:
            raise Unknown("No gauge test of this project has that key.")
        lines = [line for line in correction_lines(self.opened) if _same_gauge(line, found.key)]
        return Response(
            {
                **key_of(KeyLine(comparison, found)),
                "spots": answers.plain(found.pairs),
                "statistics": {one.quantity: answers.plain(one.found) for one in found.quantities},
                "corrections": [correction(line) for line in lines],
            }
        )


def _same_gauge(line: CorrectionLine, key: Any) -> bool:
    same = (line.key.gauge, line.key.mode, line.key.notch) == (key.gauge, key.mode, key.notch)
    return same and line.key.reference in ("", key.reference)


class GaugePair(ProjectResource):
    """A person's word that two tests are a pair, or are none."""

    tag = "gauges"
    operations = {
        "PUT": Operation(
            needs="record-gauge-pair",
            summary="Make two tests a pair, or take a pair out",
            words="Tests linked by `check_of` are pairs already. What is taken out stays listed, with the reason.",
            body="GaugePair",
            answers={201: "Noted", 200: "Noted"},
            problems=PROBLEMS,
        )
    }

    def put(self, request: Request, project: str, pair: UUID) -> Response:
        """Write it down."""
        return noted(
            gauge_corrections.record_pair(opened=self.opened, client_uuid=pair, body=sent_object(self), now=self.now)
        )


class GaugeRule(ProjectResource):
    """The rule that gauges are compared by."""

    tag = "gauges"
    operations = {
        "PUT": Operation(
            needs="adopt-gauge-correction",
            summary="Choose the rule of comparison",
            body="GaugeRule",
            answers={201: "Noted", 200: "Noted"},
            problems=PROBLEMS,
        )
    }

    def put(self, request: Request, project: str, rule: UUID) -> Response:
        """Choose it."""
        return noted(
            gauge_corrections.choose_rule(opened=self.opened, client_uuid=rule, body=sent_object(self), now=self.now)
        )


class GaugeCorrectionList(ProjectResource):
    """Every correction, the newest first."""

    tag = "gauges"
    whole_project = True
    operations = {
        "GET": Operation(needs="read", summary="List corrections of gauges", answers={200: "GaugeCorrectionList"})
    }

    def get(self, request: Request, project: str) -> Response:
        """The list."""
        return Response({"items": [correction(line) for line in correction_lines(self.opened)]})


class GaugeCorrectionPreview(ProjectResource):
    """What a correction would change, before it is even proposed."""

    tag = "gauges"
    whole_project = True
    operations = {
        "POST": Operation(
            needs="read",
            summary="Preview a correction of a gauge",
            words="Nothing is written.",
            body="GaugeCorrection",
            answers={200: "ApprovalPreview"},
            problems=("content-unreadable",),
        )
    }

    def post(self, request: Request, project: str) -> Response:
        """Look ahead."""
        return Response(foreseen(gauge_corrections.preview(opened=self.opened, body=sent_object(self))))


class GaugeCorrection(ProjectResource):
    """A correction under the client's id."""

    tag = "gauges"
    operations = {
        "PUT": Operation(
            needs="propose-gauge-correction",
            summary="Propose a correction of a gauge",
            words=(
                "It changes nothing until an engineer other than its author adopts it. `analysis_digest` names the "
                "comparison that it stands on; if the pairs have moved since, it is refused."
            ),
            body="GaugeCorrection",
            answers={201: "Noted", 200: "Noted"},
            problems=(*PROBLEMS, "not-current"),
        )
    }

    def put(self, request: Request, project: str, correction: UUID) -> Response:
        """Propose it."""
        return noted(
            gauge_corrections.propose(opened=self.opened, client_uuid=correction, body=sent_object(self), now=self.now)
        )


class GaugeCorrectionAdoption(ProjectResource):
    """An engineer's adoption of somebody else's proposal."""

    tag = "gauges"
    operations = {
        "PUT": Operation(
            needs="adopt-gauge-correction",
            summary="Adopt a correction of a gauge",
            words="Gauge tests of its key from its day on are evaluated again; look at the preview first.",
            body="Reason",
            answers={201: "Ruled", 200: "Ruled"},
            problems=(*PROBLEMS, "second-person-needed"),
        )
    }

    def put(self, request: Request, project: str, correction: UUID, adoption: UUID) -> Response:
        """Adopt it."""
        sent = self.members("reason", required=("reason",))
        return ruled(
            gauge_corrections.adopt(
                opened=self.opened, correction=correction, client_uuid=adoption, body=sent, now=self.now
            )
        )
