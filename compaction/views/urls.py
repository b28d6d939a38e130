"""Addresses of this room."""

from django.urls import URLPattern, URLResolver, path

from compaction.views import (
    entry,
    failure,
    failures,
    geometry_preview,
    governing,
    other_references,
    placements,
    reference_entry,
    references,
    samples,
    setup,
    specifications,
    test,
    tests,
    today,
    uncertainty,
)
from compaction.views.alignment_urls import urlpatterns as alignment_patterns
from compaction.views.gauge_urls import urlpatterns as gauge_patterns
from compaction.views.instrument_urls import urlpatterns as instrument_patterns
from compaction.views.lift_urls import urlpatterns as lift_patterns
from compaction.views.location_urls import urlpatterns as location_patterns
from compaction.views.lot_urls import urlpatterns as lot_patterns
from compaction.views.map_urls import urlpatterns as map_patterns
from compaction.views.supervision_urls import urlpatterns as supervision_patterns

P = "p/<slug:code>/"

urlpatterns: list[URLPattern | URLResolver] = [
    *map_patterns,
    *lift_patterns,
    *lot_patterns,
    *location_patterns,
    *alignment_patterns,
    *gauge_patterns,
    *instrument_patterns,
    *supervision_patterns,
    path(P, today.today, name="today"),
    path(P + "day-sheet", today.sheet, name="day-sheet"),
    path(P + "tests", tests.tests, name="tests"),
    path(P + "tests.csv", tests.tests_csv, name="tests-csv"),
    path(P + "tests/new", entry.new, name="test-entry"),
    path(P + "tests/preview", entry.preview, name="test-preview"),
    path(P + "tests/send/<uuid:uuid>", entry.send, name="test-send"),
    path(P + "tests/<uuid:uuid>", test.test, name="test"),
    path(P + "tests/<uuid:uuid>/amend", entry.amend, name="test-amend"),
    path(P + "tests/<uuid:uuid>/amend/send", entry.send_amendment, name="test-amend-send"),
    path(P + "tests/<uuid:uuid>/uncertainty.svg", uncertainty.plot, name="test-uncertainty-plot"),
    path(P + "tests/<uuid:uuid>/oven", test.oven, name="test-oven"),
    path(P + "tests/<uuid:uuid>/release", test.release, name="test-release"),
    path(P + "tests/<uuid:uuid>/void", test.void, name="test-void"),
    path(P + "tests/<uuid:uuid>/void/confirm", test.confirm, name="test-confirm-void"),
    path(P + "failures", failures.failures, name="failures"),
    path(P + "failures.csv", failures.failures_csv, name="failures-csv"),
    path(P + "failures/<uuid:uuid>", failure.failure, name="failure"),
    path(P + "failures/<uuid:uuid>/rework", failure.rework, name="failure-rework"),
    path(P + "failures/<uuid:uuid>/close", failure.close, name="failure-close"),
    path(P + "placements", placements.placements, name="placements"),
    path(P + "placements.csv", placements.placements_csv, name="placements-csv"),
    path(P + "samples", samples.samples, name="samples"),
    path(P + "samples-new", samples.enter, name="sample-new"),
    path(P + "samples/<str:sample>", samples.sample, name="sample"),
    path(P + "samples/<str:sample>/revise", samples.enter, name="sample-revise"),
    path(P + "samples/<str:sample>/<int:rev>/gradation.svg", samples.gradation_plot, name="gradation-plot"),
    path(P + "references", references.references, name="references"),
    path(P + "references-new", reference_entry.enter, name="reference-new"),
    path(P + "references-new/<slug:kind>", other_references.enter, name="reference-new-kind"),
    path(P + "references/<str:reference>/revise-kind", other_references.enter, name="reference-revise-kind"),
    path(P + "references/<str:reference>", references.reference, name="reference"),
    path(P + "references/<str:reference>/revise", reference_entry.enter, name="reference-revise"),
    path(P + "references/<str:reference>/<int:rev>/approval", references.preview, name="reference-preview"),
    path(P + "references/<str:reference>/<int:rev>/approve", references.approve, name="reference-approve"),
    path(P + "specifications", specifications.specifications, name="specifications"),
    path(P + "specifications-governing", governing.page, name="specification-governing"),
    path(P + "specifications-new", specifications.enter, name="specification-new"),
    path(P + "specifications/<str:specification>", specifications.specification, name="specification"),
    path(P + "specifications/<str:specification>/revise", specifications.enter, name="specification-revise"),
    path(
        P + "specifications/<str:specification>/<int:rev>/approval",
        specifications.preview,
        name="specification-preview",
    ),
    path(
        P + "specifications/<str:specification>/<int:rev>/approve",
        specifications.approve,
        name="specification-approve",
    ),
    path(P + "geometry-previews/<uuid:preview>", geometry_preview.page, name="geometry-preview"),
    path(P + "geometry-previews/<uuid:preview>/make", geometry_preview.make, name="geometry-preview-make"),
    path(P + "set-up", setup.setup, name="set-up"),
    path(P + "set-up/baseline", setup.add_baseline, name="set-up-baseline"),
    path(P + "set-up/area", setup.add_area, name="set-up-area"),
]
