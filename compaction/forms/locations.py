"""Drawing random locations and substituting one."""

from typing import Any

from django import forms

from compaction.forms.quantities import QuantityField
from compaction.forms.rulings import Once, reason_field
from compaction.records.locations import MOST_LOCATIONS, REDRAW_REASONS, SUBSTITUTION_REASONS
from projects.models import Project


class DrawForm(Once):
    """A draw; one that replaces another asks why."""

    area = forms.CharField(max_length=200, widget=forms.HiddenInput)
    lift = forms.IntegerField(min_value=0, max_value=9999, widget=forms.HiddenInput)
    replaces = forms.CharField(max_length=36, widget=forms.HiddenInput, required=False)
    tests = forms.IntegerField(
        label="How many", min_value=1, max_value=MOST_LOCATIONS, required=False,
        help_text="Empty: as many as tests are required.",
    )  # fmt: skip

    def __init__(self, *args: Any, project: Project, again: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["edge_margin"] = QuantityField(
            project=project, kind="length", label="Keep off the sides", help_text="For example 2 ft or 0.5 m."
        )
        self.fields["done_within"] = QuantityField(
            project=project, kind="length", label="Done by a test within", help_text="For example 10 ft or 3 m."
        )
        if again:
            self.fields["reason_code"] = forms.ChoiceField(
                label="Why it is drawn again", choices=list(REDRAW_REASONS.items())
            )
            self.fields["reason"] = reason_field("In words")

    def body(self) -> dict[str, Any]:
        """The record that is sent; what was left empty stands in it nowhere."""
        return {
            name: value
            for name, value in self.cleaned_data.items()
            if name != "client_uuid" and value not in ("", None)
        }


class SubstituteForm(Once):
    """Another place for a location; left empty, the next random one of its cell."""

    draw = forms.UUIDField(widget=forms.HiddenInput)
    location = forms.UUIDField(widget=forms.HiddenInput)
    reason_code = forms.ChoiceField(label="Why not there", choices=lambda: list(SUBSTITUTION_REASONS.items()))
    reason = reason_field("In words")
    station = forms.CharField(
        label="Station instead", max_length=40, required=False, help_text="Empty: drawn at random in the same cell."
    )
    offset = forms.CharField(label="Offset instead", max_length=40, required=False)

    def body(self) -> dict[str, Any]:
        """The record that is sent."""
        names = ("reason_code", "reason", "station", "offset")
        return {name: self.cleaned_data[name] for name in names if self.cleaned_data[name]}
