"""Pages about the API: its document, the documentation made from it, and what each problem means."""

import functools
import json

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import include, path
from django.views.decorators.http import require_safe
from drf_spectacular.generators import SchemaGenerator

from api import problems


@functools.cache
def document() -> str:
    """The OpenAPI document as text; it depends on nothing but the code."""
    addresses = [path("api/v1/", include("api.v1.urls"))]
    schema = SchemaGenerator(patterns=addresses).get_schema(request=None, public=True)
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


@require_safe
def openapi(request: HttpRequest) -> HttpResponse:
    """The document."""
    return HttpResponse(document(), content_type="application/vnd.oai.openapi+json;version=3.1")


@require_safe
def documentation(request: HttpRequest) -> HttpResponse:
    """The documentation, drawn by files of our own host."""
    return render(request, "api/docs.html")


@require_safe
def problem_list(request: HttpRequest) -> HttpResponse:
    """Every problem that an answer can name."""
    return render(request, "api/problems.html", {"kinds": problems.KINDS})


@require_safe
def problem(request: HttpRequest, code: str) -> HttpResponse:
    """What one problem means and what a client does about it."""
    if code not in problems.KINDS:
        raise Http404
    return render(request, "api/problem.html", {"code": code, "kind": problems.KINDS[code]})
