"""Addresses of where to test next."""

from django.urls import URLPattern, path

from compaction.views import location_files, locations

urlpatterns: list[URLPattern] = [
    path("p/<slug:code>/locations", locations.page, name="locations"),
    path("p/<slug:code>/locations/draw", locations.draw, name="locations-draw"),
    path("p/<slug:code>/locations/substitute", locations.substitute, name="locations-substitute"),
    path("p/<slug:code>/locations/plan.svg", location_files.plan_svg, name="locations-plan"),
    path("p/<slug:code>/locations/to-do.<slug:kind>", location_files.file, name="locations-file"),
    path("p/<slug:code>/map/cells.geojson", location_files.cells_layer, name="layer-cells"),
    path("p/<slug:code>/map/locations.geojson", location_files.locations_layer, name="layer-locations"),
]
