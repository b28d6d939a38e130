"""Forms for what people decide about a test or a failure: each with a reason in words and an id made once."""

import uuid
from typing import Any, Final

from django import forms

from compaction import chain
from compaction.actions import voids
from compaction.actions.amendments import REASONS as AMENDMENT_REASONS
from compaction.calculations.moisture_standards import standards_for
from compaction.forms.quantities import QuantityField
from compaction.observation.choices import FRACTIONS, LENGTHS
from compaction.records.follow_up import REWORK_METHODS
from projects.models import Project


class Once(forms.Form):
    """A form that carries its own id, so that sending it twice does the thing once."""

    client_uuid = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not self.is_bound:
            self.initial["client_uuid"] = str(uuid.uuid4())


def reason_field(label: str) -> forms.CharField:
    """Why, in words that somebody else can follow."""
    return forms.CharField(label=label, max_length=4000, widget=forms.Textarea(attrs={"rows": 3}))


class ReleaseForm(Once):
    """Release one hold."""

    hold = forms.CharField(max_length=80, widget=forms.HiddenInput)
    reason = reason_field("Why the reading can stand")


class VoidForm(Once):
    """Ask to void a test."""

    reason_code = forms.ChoiceField(label="What happened", choices=lambda: list(voids.REASONS.items()))
    reason = reason_field("In words")


class ConfirmVoidForm(Once):
    """The second person's word."""

    reason = reason_field("What you checked")


#: masses of one can -> label
CAN_MASSES: Final = {
    "wet_and_can": "Can and wet soil",
    "dry_and_can": "Can and dry soil",
    "can_mass": "Can",
}


class OvenForm(Once):
    """The oven value of a test, outright or from one can: the amendment that every provisional result waits for."""

    replaces = forms.IntegerField(widget=forms.HiddenInput)
    fraction = forms.ChoiceField(label="Specimen", choices=lambda: list(FRACTIONS.items()))
    can = forms.CharField(label="Can number", max_length=LENGTHS["label"], required=False)
    standard = forms.ChoiceField(
        label="Held against",
        choices=lambda: [("", "no standard"), *standards_for("oven").items()],
        required=False,
    )
    reason = forms.CharField(label="Remark", max_length=4000, initial="oven value from the laboratory")

    def __init__(self, *args: Any, project: Project, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["value"] = QuantityField(
            project=project, kind="percent", label="Oven value, of the dry mass", required=False
        )
        for name, label in CAN_MASSES.items():
            self.fields[name] = QuantityField(project=project, kind="mass", label=label, required=False)

    def clean(self) -> dict[str, Any]:
        """The value or all three masses, not both."""
        given = super().clean() or {}
        masses = [name for name in CAN_MASSES if given.get(name)]
        if given.get("value") and masses:
            self.add_error("value", "Give the value or the masses of the can, not both; the masses say it already.")
        elif not given.get("value") and not masses and "value" not in self.errors:
            self.add_error("value", "Give the oven value, or the three masses of the can.")
        elif masses:
            for name in CAN_MASSES:
                if name not in masses and name not in self.errors:
                    self.add_error(name, "The can needs all three masses.")
        return given

    def determination(self) -> dict[str, Any]:
        """What was determined, as the record of a test has it."""
        given = self.cleaned_data
        found: dict[str, Any] = {"method": "oven", "fraction": given["fraction"]}
        if given["value"]:
            found["value"] = given["value"]
        else:
            can = {"can": given["can"]} if given["can"] else {}
            found["cans"] = [can | {name: given[name] for name in CAN_MASSES}]
        return found | ({"standard": given["standard"]} if given["standard"] else {})


class AmendForm(Once):
    """Why a test is amended; the content itself comes from the entry form."""

    replaces = forms.IntegerField(widget=forms.HiddenInput)
    reason_code = forms.ChoiceField(label="Reason", choices=lambda: list(AMENDMENT_REASONS.items()))
    reason = reason_field("In words")


class ReworkForm(Once):
    """What was done to the failed area."""

    method = forms.ChoiceField(
        label="What was done", choices=lambda: [(name, name.replace("_", " ")) for name in REWORK_METHODS]
    )
    performed_at = forms.CharField(
        label="Finished at", widget=forms.DateTimeInput(attrs={"type": "datetime-local"}), help_text="Project time."
    )
    equipment = forms.CharField(label="Equipment", max_length=200, required=False)
    passes = forms.IntegerField(label="Passes", min_value=0, max_value=999, required=False)
    remarks = forms.CharField(
        label="Remarks", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )


CLOSURE_WORDS = {
    chain.CLOSED: "close: the retest passes",
    chain.ACCEPTED: "accept as is",
    chain.REPLACED: "removed and replaced",
}


class ClosingForm(Once):
    """An engineer's closing of one failure, on the figures shown."""

    basis_digest = forms.CharField(max_length=64, widget=forms.HiddenInput)
    meaning = forms.ChoiceField(label="Decision", choices=lambda: list(CLOSURE_WORDS.items()))
    reason = reason_field("Reason")


class ApproveForm(Once):
    """An engineer's approval of a revision."""

    reason = reason_field("On what ground it is approved")
