"""Addresses of gauges against direct tests."""

from django.urls import URLPattern, path

from compaction.views import gauge_comparisons as views
from compaction.views import gauge_correction

P = "p/<slug:code>/"
K = P + "gauge-comparisons/<uuid:key>"

urlpatterns: list[URLPattern] = [
    path(P + "gauge-comparisons", views.comparisons, name="gauge-comparisons"),
    path(P + "gauge-comparisons/rule", views.choose_rule, name="gauge-rule"),
    path(K, views.comparison, name="gauge-comparison"),
    path(K + "/propose", views.propose, name="gauge-propose"),
    path(K + "/pair", views.pair, name="gauge-pair"),
    path(K + "/pair-state", views.pair_state, name="gauge-pair-state"),
    path(K + "/<str:quantity>-<str:kind>.svg", gauge_correction.drawing, name="gauge-comparison-plot"),
    path(P + "gauge-corrections/<uuid:correction>", gauge_correction.correction, name="gauge-correction"),
]
