"""The way from a request to an opened project: sign-in, role, clock. Every page of a project goes through here."""

from collections.abc import Callable
from datetime import datetime
from functools import wraps
from typing import Any

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.utils import timezone

from projects import access
from projects.access import Open

View = Callable[..., Any]


def _opened(request: HttpRequest, code: str, needs: str, now: datetime) -> Open:
    return access.open_project(
        request.user,  # type: ignore[arg-type]  # signed in, see the callers
        code,
        now=now,
        needs=needs,
        request_id=getattr(request, "request_id", ""),
    )


def project_page(needs: str = "read") -> Callable[[View], View]:
    """The view gets (request, opened, now, ...). What is missing and what is not yours is the same 404."""

    def decorate(view: View) -> View:
        @login_required
        @wraps(view)
        def page_view(request: HttpRequest, code: str, **parts: Any) -> HttpResponse:
            now = timezone.now()
            try:
                return view(request, _opened(request, code, needs, now), now, **parts)
            except access.NotFound:
                raise Http404("There is no such project for you.") from None
            except access.NotAllowed as error:
                raise PermissionDenied(str(error)) from error

        return page_view

    return decorate


def project_json(needs: str = "read") -> Callable[[View], View]:
    """The same for a view that scripts call: refusals are JSON, so that a queue on a phone can tell them apart."""

    def decorate(view: View) -> View:
        @wraps(view)
        def json_view(request: HttpRequest, code: str, **parts: Any) -> HttpResponse:
            now = timezone.now()
            if not request.user.is_authenticated:
                return JsonResponse({"errors": [["", "signed-out", "Sign in again; nothing is lost."]]}, status=401)
            try:
                return view(request, _opened(request, code, needs, now), now, **parts)
            except access.NotFound:
                return JsonResponse({"errors": [["", "not-found", "There is no such project for you."]]}, status=404)
            except access.NotAllowed as error:
                return JsonResponse({"errors": [["", "not-allowed", str(error)]]}, status=403)

        return json_view

    return decorate


def show(
    request: HttpRequest, opened: Open, template: str, *, status: int | None = None, **context: Any
) -> HttpResponse:
    """A page of the project. `may` holds every right of the person, with underscores: `may.submit_test`."""
    return render(
        request,
        template,
        {
            "opened": opened,
            "project": opened.project,
            "may": {permission.replace("-", "_"): opened.may(permission) for permission in access.MAY},
            **context,
        },
        status=status,
    )
