"""A gauge against direct tests: list of keys, one key with its pairs, drawings, proposal, adoption with its preview."""

from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from compaction.actions import gauge_corrections as actions
from compaction.actions.refusals import Refused
from compaction.evaluation import gauge_comparison
from compaction.evaluation.gauge_comparison import GaugeComparison
from compaction.forms.gauge_corrections import PairForm, PairStateForm, ProposeForm, RuleForm
from compaction.models import Test
from compaction.queries import gauge_comparisons as queries
from compaction.queries.gauge_corrections import CorrectionLine, correction_lines
from compaction.views import display, gauge_texts
from compaction.views.acting import attempt
from projects.access import Open
from projects.views.opening import project_page, show


@require_safe
@project_page()
def comparisons(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Every gauge, soil, mode and depth with what its pairs say in short."""
    return _list(request, opened, RuleForm(initial={"rule": queries.rule_in_force(opened).code}))


def _list(request: HttpRequest, opened: Open, form: RuleForm) -> HttpResponse:
    project = opened.project
    lines = []
    corrections = [line for line in correction_lines(opened) if line.in_force and not line.ends]
    for line in queries.comparisons(opened):
        found = line.found
        corrected = next((one for one in corrections if _belongs(one, found)), None)
        tone, words = gauge_texts.VERDICTS[found.verdict]
        means = [
            gauge_texts.shown(project, one.found.mean_difference if one.found else None, one.unit, signed=True)
            for one in (found.of("wet_density"), found.of("water_content"))
        ]
        lines.append(
            {
                "id": line.id,
                "found": found,
                "mode": gauge_texts.mode_text(found.key),
                "wet": means[0],
                "water": means[1],
                "tone": tone,
                "verdict": words,
                "corrected": gauge_texts.offsets_text(project, corrected.facts) if corrected else "",
            }
        )
    return show(
        request,
        opened,
        "compaction/gauge_comparisons.html",
        status=422 if form.errors else None,
        lines=lines,
        rule=queries.rule_in_force(opened),
        rule_form=form,
        words=gauge_texts.column_words(project),
    )


@require_POST
@project_page("adopt-gauge-correction")
def choose_rule(request: HttpRequest, opened: Open, now: datetime) -> HttpResponse:
    """Choose the rule of comparison."""
    form = RuleForm(request.POST)

    def work() -> Any:
        body = {name: form.cleaned_data[name] for name in ("rule", "reason")}
        return actions.choose_rule(opened=opened, client_uuid=form.cleaned_data["client_uuid"], body=body, now=now)

    if form.is_valid() and attempt(form, work) is not None:
        messages.success(request, "The rule is chosen; every comparison is judged by it from now on.")
        return redirect("gauge-comparisons", opened.project.code)
    return _list(request, opened, form)


def find(opened: Open, key: UUID) -> GaugeComparison:
    """The comparison of a key; 404 where no gauge test has it."""
    found = queries.comparison(opened, key)
    if found is None:
        raise Http404("No gauge test of this project has that key.")
    return found


@require_safe
@project_page()
def comparison(request: HttpRequest, opened: Open, now: datetime, key: UUID) -> HttpResponse:
    """One key: verdict, pairs, drawings, proposal, corrections."""
    return _page(request, opened, now, key)


def _page(request: HttpRequest, opened: Open, now: datetime, key: UUID, **refused: forms.Form) -> HttpResponse:
    project, found = opened.project, find(opened, key)
    proposal = gauge_comparison.propose(found, density_unit=project.units)
    tone, verdict = gauge_texts.VERDICTS[found.verdict]
    today = now.astimezone(project.zone_info).date()
    corrections = [line for line in correction_lines(opened) if _belongs(line, found)]
    in_force = next((line for line in corrections if line.in_force and not line.ends), None)
    return show(
        request,
        opened,
        "compaction/gauge_comparison.html",
        status=422 if refused else None,
        key_id=key,
        found=found,
        mode=gauge_texts.mode_text(found.key),
        tone=tone,
        verdict=verdict,
        rows=gauge_texts.pair_rows(project, found),
        quantities=[
            {
                "name": one.quantity,
                "title": display.word(project, gauge_texts.QUANTITIES[one.quantity]).capitalize(),
                "judged": one.judged,
                "statistics": gauge_texts.statistics_rows(project, one),
                "left": gauge_texts.left_text(project, one, in_force.facts) if in_force else "",
                "drawn": bool(gauge_texts.points(project, found, one)),
            }
            for one in found.quantities
            if one.pairs or one.quantity != "water_per_volume"
        ],
        per_volume=bool(found.of("water_per_volume").pairs),
        words=gauge_texts.column_words(project),
        proposal=proposal,
        propose_form=refused.get("propose")
        or ProposeForm(
            project=project,
            proposal=proposal,
            initial={"analysis_digest": found.digest, "effective_from": today.isoformat()},
        ),
        pair_form=refused.get("pair") or PairForm(auto_id="pair_%s"),
        state_form=refused.get("state"),
        corrections=[line_of(opened, line) for line in corrections],
        corrected=gauge_texts.offsets_text(project, in_force.facts) if in_force else "",
        open_form=bool(refused.get("propose")),
    )


def _belongs(line: CorrectionLine, found: GaugeComparison) -> bool:
    key = found.key
    same = (line.key.gauge, line.key.mode, line.key.notch) == (key.gauge, key.mode, key.notch)
    return same and line.key.reference in ("", key.reference)


def line_of(opened: Open, line: CorrectionLine) -> dict[str, Any]:
    """A correction and what it does in words."""
    return {"line": line, "does": gauge_texts.offsets_text(opened.project, line.facts, ends=line.ends)}


@require_POST
@project_page("propose-gauge-correction")
def propose(request: HttpRequest, opened: Open, now: datetime, key: UUID) -> HttpResponse:
    """Propose a correction; its page shows what adopting it would change."""
    found = find(opened, key)
    form = ProposeForm(request.POST, project=opened.project)

    def work() -> Any:
        return actions.propose(
            opened=opened, client_uuid=form.cleaned_data["client_uuid"], body=form.body(found.key), now=now
        )

    if form.is_valid() and (done := attempt(form, work)) is not None:
        messages.success(request, "Proposed. It changes nothing until an engineer other than you adopts it.")
        return redirect("gauge-correction", opened.project.code, done.row.client_uuid)
    return _page(request, opened, now, key, propose=form)


@require_POST
@project_page("record-gauge-pair")
def pair(request: HttpRequest, opened: Open, now: datetime, key: UUID) -> HttpResponse:
    """Make two tests a pair by their numbers."""
    form = PairForm(request.POST, auto_id="pair_%s")

    def work() -> Any:
        given = form.cleaned_data
        body = {
            "gauge_test": _by_label(opened, given["gauge_label"], gauge=True),
            "direct_test": _by_label(opened, given["direct_label"], gauge=False),
            "counts": True,
            "reason": given["reason"],
        }
        return actions.record_pair(opened=opened, client_uuid=given["client_uuid"], body=body, now=now)

    return _noted(request, opened, now, key, form, "pair", work)


@require_POST
@project_page("record-gauge-pair")
def pair_state(request: HttpRequest, opened: Open, now: datetime, key: UUID) -> HttpResponse:
    """Take a pair out of the figures, or put it back."""
    form = PairStateForm(request.POST)

    def work() -> Any:
        given = form.cleaned_data
        body = {"gauge_test": str(given["gauge_test"]), "counts": given["counts"], "reason": given["reason"]}
        if given["direct_test"]:
            body["direct_test"] = str(given["direct_test"])
        return actions.record_pair(opened=opened, client_uuid=given["client_uuid"], body=body, now=now)

    return _noted(request, opened, now, key, form, "state", work)


def _noted(
    request: HttpRequest, opened: Open, now: datetime, key: UUID, form: forms.Form, name: str, work: Callable[[], Any]
) -> HttpResponse:
    if form.is_valid() and attempt(form, work) is not None:
        messages.success(request, "Noted; the figures follow from it.")
        return redirect("gauge-comparison", opened.project.code, key)
    return _page(request, opened, now, key, **{name: form})


def _by_label(opened: Open, label: str, *, gauge: bool) -> str:
    methods = (queries.GAUGE,) if gauge else queries.DIRECT
    found = list(
        Test.objects.filter(project=opened.project, label=label.strip(), method__in=methods, voided=False).values_list(
            "client_uuid", flat=True
        )[:2]
    )
    if len(found) != 1:
        kind = "gauge" if gauge else "direct"
        many = "more than one" if found else "no"
        raise Refused(f"There is {many} {kind} test with the number {label.strip()[:40]}; pair them through the API.")
    return str(found[0])
