"""Approving a revision of a reference or a specification: what it would change first, then the form that does it."""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any, Protocol

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect

from compaction.forms.rulings import ApproveForm
from compaction.queries.set_up_lists import RevisionLine
from compaction.views.acting import attempt
from projects.access import Open
from projects.views.opening import show


class Approve(Protocol):
    """The action of one kind."""

    def __call__(self, *, opened: Open, code: str, rev: int, client_uuid: Any, body: Any, now: datetime) -> Any: ...


def asked(
    request: HttpRequest,
    opened: Open,
    lines: list[RevisionLine],
    rev: int,
    *,
    kind: str,
    preview: Callable[[], Any],
    form: ApproveForm,
    **more: Any,
) -> HttpResponse:
    """The page of one revision: 404 where it is not, its approval where it has one, else its preview and the form."""
    line = next((line for line in lines if line.rev == rev), None)
    if line is None:
        raise Http404("There is no such revision.")
    return show(
        request,
        opened,
        "compaction/approval.html",
        status=422 if form.errors else None,
        kind=kind,
        line=line,
        preview=None if line.approval else preview(),
        form=form,
        **more,
    )


def given(
    request: HttpRequest,
    opened: Open,
    form: ApproveForm,
    approve: Approve,
    *,
    kind: str,
    code: str,
    rev: int,
    sentence: str,
    now: datetime,
) -> HttpResponse | None:
    """Approve as the form says and go to the page of the code; None with the refusal on the form."""

    def work() -> Any:
        body: Mapping[str, Any] = {"reason": form.cleaned_data["reason"]}
        key = form.cleaned_data["client_uuid"]
        return approve(opened=opened, code=code, rev=rev, client_uuid=key, body=body, now=now)

    if not form.is_valid() or attempt(form, work) is None:
        return None
    messages.success(request, f"{code} revision {rev} is approved; {sentence}")
    return redirect(kind, opened.project.code, code)
