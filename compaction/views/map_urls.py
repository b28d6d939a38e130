"""Addresses of the map, its layers and the drawings."""

from django.urls import URLPattern, path

from compaction.views import layers, map, plots, station_profile

urlpatterns: list[URLPattern] = [
    path("p/<slug:code>/map", map.page, name="map"),
    path("p/<slug:code>/map/frame", map.frame_page, name="map-frame"),
    path("p/<slug:code>/map/frame.js", map.frame_script, name="map-frame-script"),
    path("p/<slug:code>/map/frame.css", map.frame_style, name="map-frame-style"),
    path("p/<slug:code>/map/tests.geojson", layers.tests, name="layer-tests"),
    path("p/<slug:code>/map/tests.json", layers.test_columns_of, name="layer-test-columns"),
    path("p/<slug:code>/map/tests/<uuid:uuid>.json", layers.story, name="map-story"),
    path("p/<slug:code>/map/placements.geojson", layers.placements, name="layer-placements"),
    path("p/<slug:code>/map/areas.geojson", layers.areas, name="layer-areas"),
    path("p/<slug:code>/map/alignment.geojson", layers.alignment, name="layer-alignment"),
    path("p/<slug:code>/profile", station_profile.page, name="station-profile"),
    path("p/<slug:code>/profile.svg", station_profile.drawing, name="station-profile-plot"),
    path("p/<slug:code>/tests/<uuid:uuid>/curve.svg", plots.curve_of_test, name="test-curve-plot"),
    path("p/<slug:code>/references/<str:reference>/<int:rev>/curve.svg", plots.reference_curve, name="curve-plot"),
    path("p/<slug:code>/run-chart.svg", plots.run_chart, name="run-chart"),
]
