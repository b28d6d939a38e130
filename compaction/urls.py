"""Every address of the service, room by room."""

from django.contrib import admin
from django.urls import include, path

from compaction.views import health

urlpatterns = [
    path("healthz", health.healthz, name="healthz"),
    path("readyz", health.readyz, name="readyz"),
    path("api/", include("api.urls")),
    path("admin/", admin.site.urls),
    path("", include("projects.views.urls")),
    path("", include("compaction.views.urls")),
]
