"""What governs at a point, what a revision changes in words, and the drafts to start from."""

from typing import Any

from rest_framework.request import Request
from rest_framework.response import Response

from api.operations import Operation
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.revisions import sent_object
from compaction.actions.refusals import Unknown
from compaction.queries import set_up, set_up_lists
from compaction.queries.derivation import margin_text
from compaction.queries.governing import Standing, governing
from compaction.records import criterion, criterion_words, governing_question
from compaction.records.specification_diff import differences
from compaction.records.specification_drafts import DRAFTS


def standing(one: Standing, density_unit: str) -> dict[str, Any]:
    """A criterion at the point; its sentence in the project's units, and in m and kg/m3."""
    item = one.criterion
    return {
        "number": item.number,
        "state": one.state,
        "because": list(one.because),
        "sentence": criterion_words.sentence(item, **criterion_words.project_units(density_unit)),
        "sentence_si": criterion_words.sentence(item),
        "quantity": item.quantity,
        "minimum": answers.plain(item.minimum),
        "maximum": answers.plain(item.maximum),
        "unit": item.unit,
        "contractual": item.contractual,
        "zone": item.zone,
        "depth_from_m": answers.plain(item.depth_from_m),
        "depth_to_m": answers.plain(item.depth_to_m),
        "conditions": answers.plain(criterion.plain(item)),
        "clause": item.clause,
    }


class SpecificationGoverning(ProjectResource):
    """What governs at a point; nothing is stored."""

    tag = "specifications"
    operations = {
        "POST": Operation(
            needs="read",
            summary="Ask what governs at a point",
            words=(
                "Every criterion of the specification that holds there, with whether it governs and why not. With a "
                "dry density the reading is judged as well. For a whole test use `tests:preview`. Nothing is stored."
            ),
            body="GoverningQuestion",
            answers={200: "Governing"},
            problems=("content-unreadable",),
        )
    }

    def post(self, request: Request, project: str) -> Response:
        """Answer."""
        question = governing_question.read(sent_object(self))
        under = set_up.load(self.opened.project, setup_seq=self.opened.setup_seq)
        found = governing(under, question, now=self.now)
        located, specification, at = found.located, found.specification, found.circumstances
        return Response(
            {
                "at": answers.plain(found.at),
                "specification": None
                if specification is None
                else {"code": specification.code, "rev": specification.rev, "approved": specification.approved},
                "reference": None
                if found.reference is None
                else {"code": found.reference.code, "rev": found.reference.rev, "method": found.reference.method},
                "place": {
                    "alignment": located.alignment,
                    "station": located.station_text,
                    "offset": located.offset_text,
                    "zone": located.zone,
                    "exempt": located.exempt,
                    "elevation_m": answers.plain(located.elevation_m),
                    "depth_below_grade_m": answers.plain(located.depth_below_grade_m),
                },
                "facts": {
                    **answers.plain(at.measured),
                    **{
                        name: value
                        for name in ("group_symbol", "aashto_group", "method", "structure")
                        if (value := getattr(at, name))
                    },
                },
                "criteria": [standing(one, self.opened.project.units) for one in found.standings],
                "judged": None
                if found.judged is None
                else {**answers.verdict(found.judged, self.opened.project), "margin": margin_text(found.judged)},
                "findings": [
                    {"code": code, "severity": severity, "sentence": sentence, "numbers": numbers}
                    for code, severity, sentence, numbers in located.findings
                ],
            }
        )


class SpecificationDifferences(ProjectResource):
    """What one revision of a specification changes against another."""

    tag = "specifications"
    operations = {
        "GET": Operation(
            needs="read",
            summary="Compare two revisions of a specification",
            words=(
                "In words: criteria that are new, gone or changed, and the rules beside them. `before` and `after` "
                "speak in the project's units, `before_si` and `after_si` in kg/m3 and m."
            ),
            answers={200: "SpecificationDifferences"},
        )
    }

    def get(self, request: Request, project: str, code: str, rev: int, other: int) -> Response:
        """From `other` to `rev`."""
        lines = {line.rev: line for line in set_up_lists.specification_list(self.opened).get(code, [])}
        for wanted in (rev, other):
            if wanted not in lines:
                raise Unknown(f"There is no revision {wanted} of {code}.")
        old, new = lines[other].facts, lines[rev].facts
        own = differences(old, new, **criterion_words.project_units(self.opened.project.units))
        said = [
            {**answers.plain(one), "before_si": in_si.before, "after_si": in_si.after}
            for one, in_si in zip(own, differences(old, new), strict=True)
        ]
        return Response({"code": code, "from": other, "to": rev, "differences": said})


class SpecificationDrafts(ProjectResource):
    """Generic drafts of a specification."""

    tag = "specifications"
    operations = {
        "GET": Operation(
            needs="read",
            summary="List the drafts of a specification",
            words="Bodies to start from. A draft is approved only with its edition and every clause filled in.",
            answers={200: "SpecificationDrafts"},
        )
    }

    def get(self, request: Request, project: str) -> Response:
        """The list."""
        return Response({"items": [{"key": one.key, "words": one.words, "body": one.body} for one in DRAFTS.values()]})
