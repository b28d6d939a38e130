"""Addresses of this room: version 1, its document, its pages."""

from django.urls import URLPattern, URLResolver, include, path

import api.pages as pages

urlpatterns: list[URLPattern | URLResolver] = [
    path("v1/", include("api.v1.urls")),
    path("openapi.json", pages.openapi, name="openapi"),
    path("docs/", pages.documentation, name="api-docs"),
    path("problems/", pages.problem_list, name="api-problems"),
    path("problems/<slug:code>", pages.problem, name="api-problem"),
]
