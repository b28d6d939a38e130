"""Operators' certificates: who holds what until when, and the entry of one with what it would change."""

from datetime import datetime
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import certificates as certificate_actions
from compaction.actions import instrument_previews
from compaction.forms.certificates import CertificateForm
from compaction.queries import instrument_lists
from compaction.queries.instrument_lists import CertificateLine
from compaction.records.certificates import SUBJECTS
from compaction.views.acting import attempt
from projects import access
from projects.access import Open
from projects.views.opening import project_page, show


@require_safe
@project_page()
def certificates(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """The list, and the form."""
    return _page(request, opened, now, _form(opened, now))


def _form(opened: Open, now: datetime, data: Any = None) -> CertificateForm:
    names = {member.user.username for member in access.roster(opened.project)}
    lines = instrument_lists.certificate_list(opened, today=_today(opened, now))
    replaceable = [
        (str(line.uuid), f"{line.facts.person}, {SUBJECTS[line.facts.subject]}, from {line.facts.valid_from}")
        for line in lines
        if not line.replaced
    ]
    return CertificateForm(data, people=[(name, name) for name in sorted(names)], replaceable=replaceable)


def _worst_first(line: CertificateLine) -> tuple[bool, int]:
    order = (instrument_lists.OUT_OF_DATE, instrument_lists.DUE_SOON)
    return line.replaced, order.index(line.state) if line.state in order else len(order)


def _today(opened: Open, now: datetime) -> Any:
    return now.astimezone(opened.project.zone_info).date()


def _page(
    request: HttpRequest, opened: Open, now: datetime, form: CertificateForm, preview: Any = None
) -> HttpResponse:
    lines = instrument_lists.certificate_list(opened, today=_today(opened, now))
    return show(
        request,
        opened,
        "compaction/certificates.html",
        status=422 if form.errors else None,
        lines=[(line, SUBJECTS[line.facts.subject]) for line in sorted(lines, key=_worst_first)],
        form=form,
        preview=preview,
    )


@require_POST
@project_page("enter-certificate")
def enter(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Enter a certificate, or look at what it would change."""
    form = _form(opened, now, request.POST)
    if not form.is_valid():
        return _page(request, opened, now, form)
    body = form.body()
    if "look" in request.POST:
        preview = attempt(form, lambda: instrument_previews.preview_certificate(opened=opened, body=body, now=now))
        return _page(request, opened, now, form, preview)
    key = form.cleaned_data["client_uuid"]
    if attempt(form, lambda: certificate_actions.enter(opened=opened, client_uuid=key, body=body, now=now)) is None:
        return _page(request, opened, now, form)
    messages.success(request, f"The certificate of {body['person']} is entered.")
    return redirect("certificates", opened.project.code)
