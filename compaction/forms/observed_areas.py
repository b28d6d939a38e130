"""A proof roll, or an area that was observed because it cannot be tested."""

from typing import Any

from django import forms

from compaction.forms.quantities import QuantityField
from compaction.forms.rulings import Once
from compaction.records.observed_area import KINDS, MOST_PASSES, REASONS, VERDICTS
from projects.models import Project


class ObservedAreaForm(Once):
    """What belongs to one kind only is left empty for the other; the record says so where it is not."""

    kind = forms.ChoiceField(label="Kind", choices=list(KINDS.items()))
    area = forms.CharField(label="Area", max_length=40, help_text="As with the placements of the lift.")
    lift = forms.IntegerField(label="Lift", min_value=0, max_value=9999, required=False)
    observed_at = forms.CharField(label="Observed at", widget=forms.DateTimeInput(attrs={"type": "datetime-local"}))
    alignment = forms.ChoiceField(label="Alignment")
    station_from = forms.CharField(label="From station", max_length=40)
    station_to = forms.CharField(label="To station", max_length=40)
    offset_from = forms.CharField(label="From offset", max_length=40, help_text="For example 30 L.")
    offset_to = forms.CharField(label="To offset", max_length=40, help_text="For example 30 R.")
    equipment = forms.CharField(
        label="Equipment", max_length=200, help_text="With its mass or tyre pressure: loaded tandem dumper, 25 t."
    )
    passes = forms.IntegerField(label="Passes", min_value=1, max_value=MOST_PASSES)
    verdict = forms.ChoiceField(
        label="What the ground did", choices=[("", "—"), *VERDICTS.items()], required=False, help_text="Proof roll."
    )
    reason_code = forms.ChoiceField(
        label="Why it cannot be tested",
        choices=[("", "—"), *REASONS.items()],
        required=False,
        help_text="Observed area.",
    )
    watched_by = forms.CharField(label="Who watched", max_length=200)
    watched = forms.CharField(
        label="What was watched", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    remarks = forms.CharField(
        label="Remarks", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args: Any, project: Project, alignments: list[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["alignment"].choices = [(code, code) for code in alignments]  # type: ignore[attr-defined]
        self.fields["deflection"] = QuantityField(
            project=project, kind="thickness", label="Deflection or depth of ruts", required=False
        )
        self.order_fields(
            ["kind", "area", "lift", "observed_at", "alignment", "station_from", "station_to", "offset_from",
             "offset_to", "equipment", "passes", "verdict", "deflection", "reason_code"]
        )  # fmt: skip
