"""Forms of projects, people and keys. They read what was typed; the actions decide."""

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm

from projects.models import Project, Role, Scope


class SignInForm(AuthenticationForm):
    """Name and password; the same sentence whether the name or the password is wrong."""

    error_messages = {
        "invalid_login": "Name and password do not go together. Check both; capitals count in the password.",
        "inactive": "Name and password do not go together. Check both; capitals count in the password.",
    }


class ProjectForm(forms.ModelForm):
    """A new project: what stands in its addresses, its units, words and clock."""

    class Meta:
        model = Project
        fields = [
            "code",
            "name",
            "units",
            "words",
            "station_format",
            "time_zone",
            "vertical_datum",
            "epsg_code",
            "failure_radius_m",
        ]
        labels = {
            "code": "Code",
            "units": "Units",
            "words": "Words of practice",
            "station_format": "Stations are written",
            "time_zone": "Time zone",
            "vertical_datum": "Vertical datum",
            "epsg_code": "EPSG code of the grid",
            "failure_radius_m": "Radius of a failed spot, m",
        }
        help_texts = {
            "time_zone": "From the IANA list, for example America/Denver.",
            "epsg_code": "Leave empty for a site grid; the map then has no background.",
            "failure_radius_m": "Fill placed within this distance above a failure buries it.",
        }


class MemberForm(forms.Form):
    """A role for a person, from a day to a day."""

    username = forms.CharField(label="User name", max_length=150, help_text="The name the person signs in with.")
    full_name = forms.CharField(label="Full name", max_length=120, required=False, help_text="Only for a new person.")
    password = forms.CharField(
        label="First password",
        required=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="Only for a new person; ten characters or more.",
    )
    role = forms.ChoiceField(label="Role", choices=lambda: list(Role.choices))
    valid_from = forms.DateField(label="From", required=False, widget=forms.DateInput(attrs={"type": "date"}))
    valid_until = forms.DateField(label="Until", required=False, widget=forms.DateInput(attrs={"type": "date"}))

    def clean(self) -> dict[str, Any]:
        """The period must not end before it begins."""
        cleaned = super().clean() or {}
        since, until = cleaned.get("valid_from"), cleaned.get("valid_until")
        if since and until and until < since:
            self.add_error("valid_until", "The role ends before it begins; check the two days.")
        return cleaned


class EndMemberForm(forms.Form):
    """The last day of a role."""

    username = forms.CharField(max_length=150, widget=forms.HiddenInput)
    role = forms.CharField(max_length=20, widget=forms.HiddenInput)
    last_day = forms.DateField(label="Last day", widget=forms.DateInput(attrs={"type": "date"}))


class KeyForm(forms.Form):
    """A key for a phone, tablet or program."""

    owner = forms.ChoiceField(label="Whose key it is")
    name = forms.CharField(label="Which device or program holds it", max_length=80)
    scopes = forms.MultipleChoiceField(
        label="What it may do",
        choices=lambda: list(Scope.choices),
        widget=forms.CheckboxSelectMultiple,
        initial=[Scope.SUBMIT, Scope.READ_OWN],
    )
    days = forms.IntegerField(label="Valid for, days", min_value=1, max_value=730, initial=365)

    def __init__(self, *args: Any, owners: list[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["owner"].choices = owners  # type: ignore[attr-defined]
