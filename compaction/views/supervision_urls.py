"""Addresses of the supervisor's page, and of proof rolls and observed areas."""

from django.urls import URLPattern, path

from compaction.views import observed_areas, supervision

P = "p/<slug:code>/"

urlpatterns: list[URLPattern] = [
    path(P + "supervision", supervision.supervision, name="supervision"),
    path(P + "supervision/<str:day>/<str:finding>/seen", supervision.dismiss, name="supervision-seen"),
    path(P + "supervision-switches/<str:kind>", supervision.switch, name="supervision-switch"),
    path(P + "observed-areas", observed_areas.observed_areas, name="observed-areas"),
    path(P + "map/observations.geojson", observed_areas.layer, name="layer-observations"),
]
