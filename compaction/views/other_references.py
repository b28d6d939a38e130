"""Entry and figures of references that are no single curve."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from compaction.actions import references as reference_actions
from compaction.calculations import family_of_curves, zero_air_voids
from compaction.calculations.errors import CalculationError
from compaction.facts import Finding, ReferenceFacts
from compaction.forms.other_references import FORMS
from compaction.queries.set_up_lists import RevisionLine, reference_list
from compaction.records.control_strip import Strip, strip_of
from compaction.records.index_density import MAXIMUM_METHODS, MINIMUM_METHODS
from compaction.records.reference_checks import KIND_WORDS
from compaction.views.acting import attempt
from projects.access import Open
from projects.views.opening import project_page, show


@require_http_methods(["GET", "HEAD", "POST"])
@project_page("enter-reference")
def enter(request: HttpRequest, opened: Open, now: datetime, kind: str = "", reference: str = "") -> HttpResponse:
    """A new reference of a kind, or the next revision of one, which starts from the figures of the last."""
    known = reference_list(opened)
    lines = known.get(reference, []) if reference else []
    if (reference and not lines) or (not reference and kind not in FORMS):
        raise Http404("There is no such entry in this project.")
    newest = lines[-1] if lines else None
    chosen = FORMS.get(newest.facts.kind if newest else kind)
    if chosen is None:
        raise Http404("A curve is revised on its own page.")
    initial = dict(newest.content) if newest else {}
    initial.pop("reason", None)
    form = chosen(
        request.POST or None, project=opened.project, initial={**initial, "code": reference},
        curves=tuple(code for code, of in known.items() if of[-1].facts.kind == "moisture_density"),
        revising=bool(reference),
    )  # fmt: skip
    if request.method == "POST" and form.is_valid():
        code = reference or form.cleaned_data["code"]
        rev, body = len(known.get(code, [])) + 1, form.body()
        issued = attempt(form, lambda: reference_actions.issue(opened=opened, code=code, rev=rev, body=body, now=now))
        if issued is not None:
            messages.success(request, f"{code} revision {rev} is entered. An engineer other than you approves it.")
            return redirect("reference", opened.project.code, code)
    return show(
        request,
        opened,
        "compaction/other_reference_entry.html",
        status=422 if request.method == "POST" else None,
        form=form,
        kind=chosen.kind,
        kind_words=KIND_WORDS[chosen.kind],
        kinds=KIND_WORDS,
        code=reference,
        next_rev=len(lines) + 1,
    )


@dataclass(frozen=True)
class KindFigures:
    """What a page shows of a revision beside what every kind has."""

    kind: str
    words: str
    minimum_method: str = ""
    maximum_method: str = ""
    maximum_void_ratio: Decimal | None = None
    minimum_void_ratio: Decimal | None = None
    strip: Strip | None = None
    members: tuple[ReferenceFacts, ...] = ()
    missing: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


def kind_figures(line: RevisionLine, known: dict[str, list[RevisionLine]]) -> KindFigures:
    """The figures of a revision that only its kind has."""
    facts = line.facts
    words = KIND_WORDS[facts.kind]
    if facts.kind == "index_density":
        return KindFigures(
            facts.kind,
            words,
            MINIMUM_METHODS[line.content["minimum_method"]],
            MAXIMUM_METHODS[line.content["maximum_method"]],
            _void_ratio(facts, facts.minimum_index_density_kgm3),
            _void_ratio(facts, facts.maximum_dry_density_kgm3),
        )
    if facts.kind == "control_strip":
        return KindFigures(facts.kind, words, strip=strip_of(line.content))
    if facts.kind == "family":
        governing = [_governing(known[code]).facts for code in facts.family if code in known]
        members = tuple(one for one in governing if one.kind == "moisture_density")
        missing = tuple(code for code in facts.family if code not in {member.code for member in members})
        return KindFigures(
            facts.kind, words, members=members, missing=missing, findings=family_of_curves.family_findings(members)
        )
    return KindFigures(facts.kind, words)


def _governing(lines: list[RevisionLine]) -> RevisionLine:
    return next((line for line in reversed(lines) if line.approval), lines[-1])


def _void_ratio(facts: ReferenceFacts, dry_density_kgm3: Decimal | None) -> Decimal | None:
    """Of an index density, with water of 1000 kg/m3; None without a specific gravity that fits."""
    if facts.specific_gravity is None or dry_density_kgm3 is None:
        return None
    try:
        return zero_air_voids.void_ratio(
            dry_density_kgm3=dry_density_kgm3,
            specific_gravity=facts.specific_gravity,
            water_density_kgm3=Decimal(1000),
        )
    except CalculationError:
        return None
