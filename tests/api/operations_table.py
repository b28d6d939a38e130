"""Every address with a body that is understood: what the access matrix, the document and the fuzz go through."""

import uuid
from dataclasses import dataclass
from typing import Any

from api.examples.bodies import EXAMPLES

ID = "3f0c0a52-6a3e-4d5b-9a55-1f6f4f8f7a10"


@dataclass(frozen=True)
class Call:
    method: str
    tail: str
    needs: str
    body: Any = None
    whole_project: bool = False

    @property
    def fresh_tail(self) -> str:
        """With a new id at its end, where there is one."""
        return self.tail.replace("{new}", str(uuid.uuid4())).replace("{id}", ID)


def example(name: str) -> Any:
    """The first example of a schema."""
    return next(iter(EXAMPLES[name].values()))


CALLS = [
    Call("GET", "", "read"),
    Call("GET", "work-left", "read"),
    Call("GET", "tests", "read"),
    Call("POST", "tests:batch", "submit-test", example("TestBatch")),
    Call("POST", "tests:preview", "submit-test", example("Test")),
    Call("POST", "tests:have", "submit-test", example("TestHave")),
    Call("GET", "tests/{id}", "read"),
    Call("GET", "tests/{id}/uncertainty", "read"),
    Call("PUT", "tests/{new}", "submit-test", example("Test")),
    Call(
        "PUT",
        "tests/{id}/amendments/{new}",
        "amend-test",
        {**example("Amendment"), "reason_code": "oven-water-content"},
    ),
    Call("PUT", "tests/{id}/voids/{new}", "void-test", example("Void")),
    Call("PUT", "tests/{id}/voids/{id}/confirmations/{new}", "confirm-void", example("Reason")),
    Call("PUT", "tests/{id}/hold-releases/{new}", "release-hold", example("HoldRelease")),
    Call("GET", "placements", "read"),
    Call("GET", "placements/{id}", "read"),
    Call("PUT", "placements/{new}", "submit-placement", example("PlacementBody")),
    Call("GET", "samples", "read"),
    Call("GET", "samples/S-1/revisions/1", "read"),
    Call("PUT", "samples/S-1/revisions/1", "enter-reference", example("Sample")),
    Call("GET", "references", "read"),
    Call("GET", "references/P-1/revisions/1", "read"),
    Call("PUT", "references/P-9/revisions/1", "enter-reference", example("Reference")),
    Call("PUT", "references/P-1/revisions/1/approvals/{new}", "approve", example("Reason")),
    Call("GET", "references/P-1/revisions/1/preview-of-approval", "read", whole_project=True),
    Call("GET", "specifications", "read"),
    Call("GET", "specifications/S-1/revisions/1", "read"),
    Call("GET", "specifications/S-1/revisions/1/differences/1", "read"),
    Call(
        "POST",
        "specifications:governing",
        "read",
        example("GoverningQuestion"),
    ),
    Call("GET", "specification-drafts", "read"),
    Call("PUT", "specifications/S-9/revisions/1", "enter-specification", example("Specification")),
    Call("PUT", "specifications/S-1/revisions/1/approvals/{new}", "approve", example("Reason")),
    Call("GET", "specifications/S-1/revisions/1/preview-of-approval", "read", whole_project=True),
    Call("GET", "alignments", "read"),
    Call("POST", "alignments:preview", "set-up", example("AlignmentToPreview")),
    Call("GET", "alignments/main/revisions/1", "read"),
    Call("GET", "areas", "read"),
    Call("GET", "areas/core/revisions/1", "read"),
    Call("POST", "positions:convert", "read", example("PositionsToConvert")),
    Call("PUT", "alignments/side/revisions/1", "set-up", example("Alignment")),
    Call("PUT", "geometry-previews/{new}", "set-up", example("GeometryQuestion"), whole_project=True),
    Call("GET", "geometry-previews/{id}", "read", whole_project=True),
    Call("PUT", "areas/shell/revisions/1", "set-up", example("Area")),
    Call("PUT", "apparatus/G-1187/records/1", "enter-apparatus", example("Apparatus")),
    Call("POST", "apparatus/G-1187/records/1/preview", "read", example("Apparatus"), whole_project=True),
    Call("GET", "apparatus", "read"),
    Call("GET", "apparatus/{id}", "read"),
    Call("GET", "standard-counts", "read"),
    Call("POST", "standard-counts:preview", "read", example("StandardCount"), whole_project=True),
    Call("PUT", "standard-counts/{new}", "enter-count", example("StandardCount")),
    Call("GET", "certificates", "read", whole_project=True),
    Call("POST", "certificates:preview", "read", example("Certificate"), whole_project=True),
    Call("PUT", "certificates/{new}", "enter-certificate", example("Certificate")),
    Call("GET", "failures", "read", whole_project=True),
    Call("GET", "failures/{id}", "read", whole_project=True),
    Call("PUT", "failures/{id}/reworks/{new}", "report-rework", example("Rework")),
    Call("PUT", "failures/{id}/closures/{new}", "close-failure-by-rule", example("Closure")),
    Call("GET", "lifts", "read", whole_project=True),
    Call("POST", "lifts:preview", "read", example("FrequencyQuestion"), whole_project=True),
    Call("GET", "lifts/core/4", "read", whole_project=True),
    Call("PUT", "lifts/core/9/releases/{new}", "release-lift", example("LiftRelease")),
    Call("PUT", "not-tested/{new}", "note-not-tested", example("NotTestedBody")),
    Call("GET", "coverage", "read", whole_project=True),
    Call("GET", "locations?area=core&lift=4", "read", whole_project=True),
    Call("GET", "locations.geojson?area=core&lift=4", "read", whole_project=True),
    Call("GET", "locations.gpx?area=core&lift=4", "read", whole_project=True),
    Call("GET", "locations.kml?area=core&lift=4", "read", whole_project=True),
    Call("GET", "draws/{id}", "read"),
    Call("PUT", "draws/{new}", "draw-locations", example("LocationDrawBody")),
    Call(
        "PUT",
        "draws/{id}/locations/{id}/substitutions/{new}",
        "draw-locations",
        example("LocationSubstitution"),
    ),
    Call("GET", "observed-areas", "read", whole_project=True),
    Call("GET", "observed-areas/{id}", "read"),
    Call("PUT", "observed-areas/{new}", "record-observation", example("ObservedArea")),
    Call("GET", "supervision", "see-supervision", whole_project=True),
    Call(
        "PUT",
        f"supervision/2026-06-03/findings/{'0' * 64}/dismissals/{{new}}",
        "see-supervision",
        example("FindingDismissal"),
    ),
    Call("PUT", "supervision/switches/no-count/decisions/{new}", "switch-supervision", example("SupervisionSwitch")),
    Call("GET", "lots", "read", whole_project=True),
    Call("POST", "lots:preview", "read", example("Lot"), whole_project=True),
    Call("GET", "lots/L-1", "read", whole_project=True),
    Call("PUT", "lots/L-9/revisions/1", "declare-lot", example("Lot")),
    Call("PUT", "lots/L-1/closings/{new}", "close-lot", example("LotClosing")),
    Call("GET", "gauge-comparisons", "read", whole_project=True),
    Call("GET", "gauge-comparisons/{id}", "read", whole_project=True),
    Call("PUT", "gauge-pairs/{new}", "record-gauge-pair", example("GaugePair")),
    Call("PUT", "gauge-rules/{new}", "adopt-gauge-correction", example("GaugeRule")),
    Call("GET", "gauge-corrections", "read", whole_project=True),
    Call("POST", "gauge-corrections:preview", "read", example("GaugeCorrection"), whole_project=True),
    Call("PUT", "gauge-corrections/{new}", "propose-gauge-correction", example("GaugeCorrection")),
    Call("PUT", "gauge-corrections/{id}/adoptions/{new}", "adopt-gauge-correction", example("Reason")),
    Call("GET", "journal", "read", whole_project=True),
    Call("GET", "journal/verify", "read", whole_project=True),
]
