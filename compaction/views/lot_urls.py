"""Addresses of lots and of the statistics page."""

from django.urls import URLPattern, path

from compaction.views import lots, statistics

P = "p/<slug:code>/"

urlpatterns: list[URLPattern] = [
    path(P + "lots", lots.lots, name="lots"),
    path(P + "lots-new", lots.enter, name="lot-new"),
    path(P + "lots/<str:lot>", lots.lot, name="lot"),
    path(P + "lots/<str:lot>/revise", lots.enter, name="lot-revise"),
    path(P + "lots/<str:lot>/close", lots.close, name="lot-close"),
    path(P + "lots/<str:lot>/tests.csv", lots.members_csv, name="lot-csv"),
    path(P + "lots/<str:lot>/run.svg", statistics.lot_run_svg, name="lot-run"),
    path(P + "lots/<str:lot>/histogram.svg", statistics.lot_histogram_svg, name="lot-histogram"),
    path(P + "statistics", statistics.statistics, name="statistics"),
    path(P + "statistics.csv", statistics.statistics_csv, name="statistics-csv"),
    path(P + "statistics/run.svg", statistics.run_svg, name="statistics-run"),
    path(P + "statistics/histogram.svg", statistics.histogram_svg, name="statistics-histogram"),
]
