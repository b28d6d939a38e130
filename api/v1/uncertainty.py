"""How sure the figures of a test are: budgets and probability of conformity. No verdict follows from it."""

from typing import Any
from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import Problem
from api.operations import Operation, Parameter
from api.resource import ProjectResource
from api.v1 import answers
from api.v1.field_tests import story_of
from compaction.queries import uncertainty

STATED = Parameter(
    "stated",
    uncertainty.stated_in_line,
    "Standard uncertainties of your own, `name=quantity` parted by `;`, by the names of the answer's inputs.",
    {"type": "string", "maxLength": 2000, "examples": ["sand_bulk_density_kgm3=8 kg/m3; mass_before_kg=2 g"]},
)


class TestUncertainty(ProjectResource):
    """Uncertainty of one test, worked through its own evaluation."""

    __test__ = False
    tag = "tests"
    operations = {
        "GET": Operation(
            needs="read",
            summary="Uncertainty of a test",
            words=(
                "Budgets by the law of propagation (JCGM 100) and probability of conformity (JCGM 106) as the set-up "
                "stands now. The verdict is made without them and never changes."
            ),
            answers={200: "TestUncertainty"},
            parameters=(STATED,),
        )
    }

    def get(self, request: Request, project: str, test: UUID) -> Response:
        """The report."""
        told = story_of(self.opened, str(test))
        try:
            found = uncertainty.report_of(self.opened, told, stated=self.query.get("stated", {}))
        except uncertainty.StatedWrong as error:
            raise Problem("query-parameter", str(error), errors=[("", "parameter-value", str(error))]) from None
        return Response(
            {
                "coverage_factor": answers.plain(found.coverage_factor),
                "budgets": [_budget(one) for one in found.budgets],
                "conformities": [_conformity(one) for one in found.conformities],
                "notes": list(found.notes),
            }
        )


def _budget(one: Any) -> dict[str, Any]:
    return {
        "figure": one.name,
        "value": answers.plain(one.value),
        "standard_uncertainty": answers.plain(one.standard_uncertainty),
        "expanded_uncertainty": answers.plain(one.expanded()),
        "inputs": [
            {
                "name": line.input.name,
                "value": answers.plain(line.input.value),
                "standard_uncertainty": answers.plain(line.input.standard_uncertainty),
                "basis": line.input.basis,
                "sensitivity": answers.plain(line.sensitivity),
                "contribution": answers.plain(line.contribution),
                "share_pct": answers.plain(line.share_pct),
            }
            for line in one.lines
        ],
    }


def _conformity(one: Any) -> dict[str, Any]:
    content: dict[str, Any] = answers.plain(one)
    return {
        **content,
        "guarded_minimum": answers.plain(one.guarded_minimum),
        "guarded_maximum": answers.plain(one.guarded_maximum),
        "beyond_guard_band": one.beyond_guard_band,
    }
