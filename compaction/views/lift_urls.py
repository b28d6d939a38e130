"""Addresses of lifts and of what covers them."""

from django.urls import URLPattern, path

from compaction.views import coverage, lift

urlpatterns: list[URLPattern] = [
    path("p/<slug:code>/coverage", coverage.page, name="coverage"),
    path("p/<slug:code>/coverage.csv", coverage.as_csv, name="coverage-csv"),
    path("p/<slug:code>/lifts/<path:area>/<int:lift>", lift.page, name="lift"),
    path("p/<slug:code>/lifts/<path:area>/<int:lift>/release", lift.sign, name="lift-release"),
    path("p/<slug:code>/lifts/<path:area>/<int:lift>/not-tested", lift.note, name="lift-not-tested"),
]
