"""A new alignment or revision: from a file or a table, looked at first, then saved under a name.

What was looked at travels in the page as a signed text, so that what is saved is what was shown.
"""

from collections.abc import Mapping
from datetime import datetime
from typing import Any, Final

from django.contrib import messages
from django.core import signing
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST

from compaction.actions import alignment_previews, geometry_previews, place
from compaction.actions.alignment_previews import ANSWERS, AlignmentPreview
from compaction.actions.refusals import Refused
from compaction.forms.alignments import SURFACES, FileForm, QuestionsForm, SaveForm, SectionForm, TableForm
from compaction.queries import alignments as queries
from compaction.queries.conversion import coordinate_unit
from compaction.views import alignment_drawings
from compaction.views.acting import attempt
from projects.access import Open
from projects.actions.place import RevisionConflict
from projects.geometry.landxml.importing import Answers
from projects.geometry.landxml.safe_xml import digest
from projects.geometry.linear_units import linear_unit
from projects.geometry.section_report import section_report
from projects.views.opening import project_page, show

SALT: Final = "alignment.entry.v1"
_DAY_S: Final = 86_400
FILE_IDS: Final = "id_file_%s"  # both forms of the page have fields of the same name


@require_http_methods(["GET", "HEAD", "POST"])
@project_page("set-up")
def enter(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Choose a file, or type a table; what comes of it is shown before anything is saved."""
    unit = "ft" if opened.project.units == "pcf" else "m"
    initial = {"unit": unit, "coordinate_unit": coordinate_unit(opened, now=now).code}
    by_file = (request.method == "POST" and "file" in request.FILES) or "send-file" in request.POST
    file_form = FileForm(request.POST, request.FILES, auto_id=FILE_IDS) if by_file else FileForm(auto_id=FILE_IDS)
    table_form = TableForm(request.POST) if request.method == "POST" and not by_file else TableForm(initial=initial)
    if by_file and file_form.is_valid():
        file = file_form.cleaned_data["file"]
        sent = file.read()
        found = attempt(file_form, lambda: _from_file(opened, sent, file.name or "", file_form.scale()))
        if found is not None:
            return _shown(request, opened, found)
    elif request.method == "POST" and not by_file and table_form.is_valid():
        found = attempt(table_form, lambda: _Found(alignment_previews.preview_content(opened, table_form.plain())))
        if found is not None:
            return _shown(request, opened, found)
    return show(
        request,
        opened,
        "compaction/alignment_entry.html",
        status=422 if request.method == "POST" else None,
        file_form=file_form,
        table_form=table_form,
        surfaces=SURFACES,
        open_table=request.method == "POST" and not by_file,
    )


class _Found:
    """A preview with what has to be kept to make it again."""

    def __init__(self, preview: AlignmentPreview, kept: Mapping[str, Any] | None = None) -> None:
        self.preview = preview
        self.kept = dict(kept or {})


def _from_file(opened: Open, sent: bytes, name: str, scale: Mapping[str, str] | None) -> _Found:
    more = {} if scale is None else {"scale": dict(scale)}
    found = alignment_previews.preview_landxml(opened, sent, Answers(), file_name=name, more=more)
    assert found.document is not None
    return _Found(
        found, {"xml": found.document.reduced(), "sha256": digest(sent), "name": name, "scale": scale, "answers": {}}
    )


def _shown(request: HttpRequest, opened: Open, found: _Found, save: SaveForm | None = None) -> HttpResponse:
    """The preview: questions while there are any, then tables, drawings and the form that saves."""
    preview, imported = found.preview, found.preview.imported
    questions = [] if imported is None else list(imported.questions)
    kept = signing.dumps(found.kept, salt=SALT, compress=True) if questions else ""
    question_form = QuestionsForm(initial={"kept": kept}, questions=questions) if questions else None
    drawings = {}
    if preview.line is not None and preview.content is not None:
        station_format = queries.station_format(opened)
        drawings["plan"] = alignment_drawings.as_address(
            alignment_drawings.plan(preview.line, station_format, title="Plan, as read")
        )
        if preview.line.profile is not None:
            drawings["profile"] = alignment_drawings.as_address(
                alignment_drawings.profile(preview.line, preview.line.profile, station_format, title="Profile, as read")
            )
        if save is None:
            ready = signing.dumps({"content": preview.content}, salt=SALT, compress=True)
            name = "" if imported is None else imported.alignment
            save = SaveForm(initial={"kept": ready, "name": name})
    return show(
        request,
        opened,
        "compaction/alignment_preview.html",
        preview=preview,
        imported=imported,
        report=preview.report,
        remarks=preview.remarks,
        question_form=question_form,
        save_form=save,
        drawings=drawings,
        surfaces=SURFACES,
        section=None if preview.line is None else section_report(preview.line, queries.station_format(opened)),
    )


@require_http_methods(["GET", "HEAD", "POST"])
@project_page("set-up")
def section(request: HttpRequest, opened: Open, now: datetime, alignment: str) -> HttpResponse:
    """Typical section, original ground and limits of feet for the newest revision of an alignment."""
    lines = queries.alignment_lines(opened).get(alignment)
    if not lines:
        raise Http404("There is no such alignment in this project.")
    newest = lines[-1]
    form = SectionForm(request.POST) if request.method == "POST" else SectionForm()
    if request.method == "POST" and form.is_valid():
        entered = form.section()
        replaced = {"section"} if "typical_section" in entered else set()
        content = {name: value for name, value in newest.content.items() if name not in replaced} | entered
        found = attempt(form, lambda: _Found(alignment_previews.preview_content(opened, content)))
        if found is not None:
            assert found.preview.content is not None
            ready = signing.dumps({"content": found.preview.content}, salt=SALT, compress=True)
            save = SaveForm(initial={"kept": ready, "code": alignment, "name": newest.name})
            return _shown(request, opened, found, save)
    return show(
        request,
        opened,
        "compaction/alignment_section.html",
        status=422 if request.method == "POST" else None,
        code=alignment,
        line=newest,
        form=form,
        unit=linear_unit(newest.content["unit"]).name,
    )


@require_POST
@project_page("set-up")
def answer(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Answers to what a file leaves open; asked again with the answers so far until nothing is open."""
    kept = _unsigned(request.POST.get("kept", ""))
    if kept is None or "xml" not in kept:
        return _expired(request, opened)
    given = dict(kept["answers"])
    for name in ANSWERS:
        value = request.POST.get(f"answer_{name}", "").strip()[:80]
        if value:
            given[name] = "" if value == "-" else value
    form = QuestionsForm(request.POST)
    form.is_valid()

    def again() -> _Found:
        more = {} if kept["scale"] is None else {"scale": kept["scale"]}
        preview = alignment_previews.preview_landxml(
            opened, kept["xml"], Answers(**given), file_name=kept["name"], sha256=kept["sha256"], more=more
        )
        return _Found(preview, {**kept, "answers": given})

    found = attempt(form, again)
    if found is None:
        return show(
            request, opened, "compaction/alignment_entry.html", status=422, file_form=form, table_form=TableForm(),
            surfaces=SURFACES, open_table=False,
        )  # fmt: skip
    return _shown(request, opened, found)


@require_POST
@project_page("set-up")
def save(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Save what was shown; a code that exists gets its next revision, after a look at what that would change."""
    kept = _unsigned(request.POST.get("kept", ""))
    if kept is None or "content" not in kept:
        return _expired(request, opened)
    form = SaveForm(request.POST)
    if form.is_valid():
        given = form.cleaned_data
        known = queries.alignment_lines(opened).get(given["code"], [])
        work = _revise if known else _issue
        done = attempt(form, lambda: work(opened, given, kept["content"], now))
        if done is not None:
            if known:
                return redirect("geometry-preview", opened.project.code, done.client_uuid)
            messages.success(request, f"Alignment {given['code']} is in force.")
            return redirect("alignment", opened.project.code, given["code"])
    preview = alignment_previews.preview_content(opened, kept["content"])
    answer_page = _shown(request, opened, _Found(preview), form)
    answer_page.status_code = 422
    return answer_page


def _issue(opened: Open, given: Mapping[str, Any], content: Mapping[str, Any], now: datetime) -> Any:
    try:
        return place.issue_alignment(
            opened=opened, code=given["code"], rev=1, name=given["name"], content=content, now=now
        )
    except RevisionConflict as error:
        raise Refused(f"{error} Somebody else changed it in between; look again.") from error


def _revise(opened: Open, given: Mapping[str, Any], content: Mapping[str, Any], now: datetime) -> Any:
    return geometry_previews.begin(
        opened=opened,
        client_uuid=given["client_uuid"],
        kind="alignment",
        code=given["code"],
        name=given["name"],
        content=content,
        now=now,
    )


def _unsigned(text: str) -> dict[str, Any] | None:
    try:
        found = signing.loads(text, salt=SALT, max_age=_DAY_S)
    except signing.BadSignature:
        return None
    return found if isinstance(found, dict) else None


def _expired(request: HttpRequest, opened: Open) -> HttpResponse:
    messages.error(request, "What was looked at is older than a day, or was changed. Choose the file again.")
    return redirect("alignment-new", opened.project.code)
