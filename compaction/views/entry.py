"""Entry of a test on a phone: the form, the result before it is sent, and the sending itself."""

import json
import uuid as uuids
from dataclasses import replace
from datetime import datetime
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import amendments, field_tests
from compaction.actions.refusals import ContentConflict, NotCurrent, Refused, Unknown
from compaction.calculations.methods import METHODS
from compaction.forms.rulings import AmendForm
from compaction.observation import ContentError
from compaction.queries import set_up
from compaction.queries.conversion import coordinate_unit
from compaction.queries.rows import TestFilter, failure_rows, story, test_rows
from compaction.views import entry_fields as fields
from compaction.views import json_body, rapid_fields, spot_fields, water_fields
from compaction.views.display import local_day, word
from compaction.views.outcome_json import outcome_json
from compaction.views.planned_place import planned_place
from compaction.views.project_time import as_typed
from projects.access import Open
from projects.views.opening import project_json, project_page, show

COMMON = ("nuclear_gauge", "sand_cone", "transcribed")  # shown at once; the rest unfold
PREFERRED = "nuclear_gauge"
KEEP_NOTHING = "9999-12-31T00:00:00Z"  # newer than anything the phone kept: a planned place is not overwritten
SHORT_TITLES = {"transcribed": "Old sheet"}  # the switch stands on a phone


@require_safe
@project_page("submit-test")
def new(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """An empty form with the last values kept."""
    me = opened.actor.person
    content: dict[str, Any] = {}
    last = test_rows(opened, TestFilter(technician=me), limit=1)
    told = story(opened, last[0].uuid) if last else None
    if told is not None:
        same_day = local_day(opened.project, last[0].performed_at) == local_day(opened.project, now)
        content = fields.kept_from(told.content, same_day=same_day)
    retest_of = request.GET.get("retest_of", "")
    planned = planned_place(opened, request.GET.get("location", ""), now=now)
    if planned is not None:
        content |= planned.content
    last_at = last[0].performed_at.isoformat() if last else ""
    return _form(
        request, opened, now, content | {"technician": me}, retest_of=retest_of, planned=planned,
        last_at=KEEP_NOTHING if planned else last_at,
    )  # fmt: skip


@require_safe
@project_page("amend-test")
def amend(request: HttpRequest, opened: Open, now: datetime, uuid: uuids.UUID) -> HttpResponse:
    """The same form with what stands on record, and the reason for the change."""
    told = story(opened, str(uuid))
    if told is None:
        raise Http404("There is no such test in this project.")
    if told.row.voided:
        return redirect("test", opened.project.code, uuid)
    return _form(
        request, opened, now, told.content, amends=told.row.uuid, name=told.row.name,
        amend_form=AmendForm(initial={"replaces": told.row.version}),
    )  # fmt: skip


def _form(
    request: HttpRequest, opened: Open, now: datetime, content: dict[str, Any], *, amends: str = "", **more: Any
) -> HttpResponse:
    project = opened.project
    under = set_up.load(project, setup_seq=opened.setup_seq)
    record = fields.record_fields(project, content)
    method = content.get("method") if content.get("method") in METHODS else PREFERRED
    made = datetime.fromisoformat(content["performed_at"]) if amends else now
    for name, field in record.items():
        if field.kind == "time" and field.value:  # a stored moment, as the form's clock shows it
            record[name] = replace(field, value=as_typed(project, datetime.fromisoformat(field.value)))
    record["performed_at"] = replace(record["performed_at"], value=as_typed(project, made))
    record["technician"] = _choice(record["technician"], sorted(under.roster))
    record["reference"] = _choice(record["reference"], sorted(under.references), empty="not named")
    record["position_alignment"] = _choice(record["position_alignment"], sorted(under.alignments))
    if project.vertical_datum:
        record["position_elevation"] = replace(
            record["position_elevation"], label=f"Elevation, {project.vertical_datum}"
        )
    grid_unit = coordinate_unit(opened, now=now).code
    for name in ("position_easting", "position_northing"):  # two feet differ by metres at coordinates of this size
        record[name] = record[name] if record[name].value else replace(record[name], unit=grid_unit)
    if not record["purpose"].value:
        record["purpose"] = replace(record["purpose"], value="acceptance")
    if not record["position_elevation_from"].value:
        record["position_elevation_from"] = replace(record["position_elevation_from"], value="level")
    failures = failure_rows(opened, open_only=True, now=now)
    wanted = more.get("retest_of") or content.get("retest_of", "")
    known = {row.root_test for row in failures}
    return show(
        request,
        opened,
        "compaction/entry.html",
        record=record,
        methods=[
            {
                "code": code,
                "title": SHORT_TITLES.get(code, entry.title),
                "chosen": code == method,
                "common": code in COMMON,
                "volume_by": entry.volume_by,
                "template": [f"compaction/readings/_{code}.html", "compaction/readings/_any_method.html"],
                "fields": fields.reading_fields(project, code, content),
            }
            for code, entry in sorted(METHODS.items(), key=lambda item: item[0] != PREFERRED)
            if amends or code != "transcribed" or opened.may("enter-reference")
        ],
        other_chosen=method not in COMMON,
        water=water_fields.water_fields(project, content, word(project, "water content").capitalize()),
        cautions=water_fields.cautions(),
        rapid=rapid_fields.rapid_fields(project, content, word(project, "water content")),
        spot_groups=spot_fields.spot_groups(content),
        spot_chosen=bool(content.get("spot")),
        water_kept=amends and not water_fields.fits(content),
        failures=[row for row in failures if row.root is not None],
        retest_of=wanted,
        retest_unknown=wanted if wanted and wanted not in known else "",
        recent=test_rows(opened, TestFilter(), limit=20),
        original=content if amends else None,
        amends=amends,
        by_depth=bool(content.get("position", {}).get("depth_below_grade")),
        **{name: value for name, value in more.items() if name != "retest_of"},
    )


def _choice(field: fields.EntryField, known: list[str], *, empty: str = "") -> fields.EntryField:
    """A list to choose from that keeps a value which is on record but no longer on the list."""
    values = known if not field.value or field.value in known else [field.value, *known]
    choices = [("", empty)] if empty else []
    return replace(field, kind="choice", choices=(*choices, *((value, value) for value in values)))


def _errors(errors: list[tuple[str, str, str]], status: int) -> JsonResponse:
    return JsonResponse({"errors": errors}, status=status)


@require_POST
@project_json("read")
def preview(request: HttpRequest, opened: Open, now: datetime) -> JsonResponse:
    """What a record would give; nothing is stored."""
    try:
        body, _ = json_body.read(request)
        derived = field_tests.preview(opened=opened, body=body, now=now)
    except json_body.BodyNotUnderstood as error:
        return _errors([("", "body-not-json", str(error))], 400)
    except ContentError as several:
        return _errors(several.errors, 422)
    return JsonResponse(outcome_json(opened.project, derived))


@require_POST
@project_json("submit-test")
def send(request: HttpRequest, opened: Open, now: datetime, uuid: uuids.UUID) -> JsonResponse:
    """Record a test under the id that the phone gave it; the same again is answered with the same receipt."""
    try:
        body, raw = json_body.read(request)
        done = field_tests.record(opened=opened, client_uuid=uuid, body=body, raw=raw, now=now)
    except json_body.BodyNotUnderstood as error:
        return _errors([("", "body-not-json", str(error))], 400)
    except ContentError as several:
        return _errors(several.errors, 422)
    except ContentConflict as error:
        return _errors([("", error.code, str(error))], 409)
    test = done.test
    return JsonResponse(
        {
            "created": done.created,
            "receipt": done.receipt.plain(),
            "name": str(test),
            "result": test.result,
            "margin": test.margin,
            "holds": test.open_holds.split(),
            "address": reverse("test", args=[opened.project.code, uuid]),
        },
        status=201 if done.created else 200,
    )


@require_POST
@project_json("amend-test")
def send_amendment(request: HttpRequest, opened: Open, now: datetime, uuid: uuids.UUID) -> JsonResponse:
    """Record a new version of a test with its reason."""
    try:
        sent, _ = json_body.read(request)
        content = sent.get("content")
        done = amendments.amend(
            opened=opened,
            test_uuid=uuid,
            client_uuid=uuids.UUID(str(sent.get("client_uuid"))),
            replaces=int(sent.get("replaces", 0)),
            content=content if isinstance(content, dict) else {},
            reason_code=str(sent.get("reason_code", "")),
            reason=str(sent.get("reason", "")),
            raw=json.dumps(content, ensure_ascii=False),
            now=now,
        )
    except (json_body.BodyNotUnderstood, ValueError) as error:
        if isinstance(error, ContentError):
            return _errors(error.errors, 422)
        return _errors([("", "body-not-json", "The amendment did not arrive whole; load the page and try again.")], 400)
    except Unknown as error:
        return _errors([("", error.code, str(error))], 404)
    except (ContentConflict, NotCurrent) as error:
        return _errors([("", error.code, str(error))], 409)
    except Refused as error:
        return _errors([("", error.code, str(error))], 422)
    return JsonResponse(
        {"created": done.created, "address": reverse("test", args=[opened.project.code, uuid])},
        status=201 if done.created else 200,
    )
