"""What was found about a finding of the day, and switches of the kinds of findings."""

from django import forms

from compaction.forms.rulings import Once, reason_field


class SeenForm(Once):
    """A finding was looked at, on the figures shown."""

    basis_digest = forms.CharField(max_length=64, widget=forms.HiddenInput)
    reason = reason_field("What was found")


class SwitchForm(Once):
    """Switch a kind on or off. `on` is a hidden "true" or "false"."""

    on = forms.TypedChoiceField(
        choices=[("true", "on"), ("false", "off")], coerce=lambda value: value == "true", widget=forms.HiddenInput
    )
    reason = reason_field("Reason")
