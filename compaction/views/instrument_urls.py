"""Addresses of instruments and certificates."""

from django.urls import URLPattern, path

from compaction.views import apparatus, certificates, count_plot

P = "p/<slug:code>/"

urlpatterns: list[URLPattern] = [
    path(P + "apparatus", apparatus.instruments_page, name="apparatus"),
    path(P + "apparatus-new", apparatus.record, name="instrument-new"),
    path(P + "apparatus/<str:serial>", apparatus.instrument, name="instrument"),
    path(P + "apparatus/<str:serial>/record", apparatus.record, name="instrument-record"),
    path(P + "apparatus/<str:serial>/count", apparatus.count, name="instrument-count"),
    path(P + "apparatus/<str:serial>/<str:kind>.svg", count_plot.counts_plot, name="count-plot"),
    path(P + "certificates", certificates.certificates, name="certificates"),
    path(P + "certificates/enter", certificates.enter, name="certificate-enter"),
]
