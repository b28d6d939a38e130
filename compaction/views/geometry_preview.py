"""The page of one preview of the geometry: how far it is, what would move and change, and the button that does it."""

import uuid as uuids
from datetime import datetime

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import geometry_previews
from compaction.actions.refusals import Refused, Unknown
from compaction.models import GeometryPreview
from projects.access import Open
from projects.views.opening import project_page, show

LOOK_AGAIN_S = 2


def _run(opened: Open, preview: uuids.UUID) -> GeometryPreview:
    try:
        return geometry_previews.read(opened, preview)
    except Unknown as error:
        raise Http404(str(error)) from error


@require_safe
@project_page()
def page(request: HttpRequest, opened: Open, now: datetime, preview: uuids.UUID) -> HttpResponse:
    """The run as it stands; while it is going on the page comes again by itself."""
    return _page(request, opened, _run(opened, preview))


def _page(request: HttpRequest, opened: Open, run: GeometryPreview, refused: str = "") -> HttpResponse:
    counts, rows = geometry_previews.found(run)
    return show(
        request,
        opened,
        "compaction/geometry_preview.html",
        status=409 if refused else None,
        run=run,
        counts=counts,
        rows=rows,
        refused=refused,
        sentence=geometry_previews.sentence(run),
        look_again_s=None if run.finished_at else LOOK_AGAIN_S,
    )


@require_POST
@project_page("set-up")
def make(request: HttpRequest, opened: Open, now: datetime, preview: uuids.UUID) -> HttpResponse:
    """Issue what was looked at as the next revision."""
    run = _run(opened, preview)
    try:
        issued = geometry_previews.make(opened, preview, now=now)
    except Refused as error:
        return _page(request, opened, run, refused=str(error))
    messages.success(request, f"{run.kind.capitalize()} {issued.revision} is in force; tests are placed anew.")
    return redirect("set-up", opened.project.code)
