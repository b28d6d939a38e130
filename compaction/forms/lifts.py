"""Forms of a lift's page: sign its release, say why it is not tested."""

from typing import Any

from django import forms

from compaction.forms.rulings import Once, reason_field
from compaction.records.placement_parts import REASONS


class ReleaseForm(Once):
    """Sign the release of a lift, on the figures that were shown."""

    basis_digest = forms.CharField(max_length=64, widget=forms.HiddenInput)
    reason = reason_field("What you looked at")

    def body(self) -> dict[str, Any]:
        """The decision as it is sent."""
        return {
            "meaning": "released",
            "basis_digest": self.cleaned_data["basis_digest"],
            "reason": self.cleaned_data["reason"],
        }


class NotTestedForm(Once):
    """Why an area on a lift is not tested."""

    reason_code = forms.ChoiceField(label="Not tested, because", choices=lambda: list(REASONS.items()))
    noted_at = forms.CharField(label="When it was so", widget=forms.DateTimeInput(attrs={"type": "datetime-local"}))
    reason = reason_field("In words")
