"""Entry of an operator's certificate."""

from typing import Any

from django import forms

from compaction.forms.instruments import day_field, iso
from compaction.forms.rulings import Once
from compaction.records import certificates


class CertificateForm(Once):
    """A certificate of a person."""

    person = forms.ChoiceField(label="Person")
    subject = forms.ChoiceField(label="For", choices=lambda: list(certificates.SUBJECTS.items()))
    issuer = forms.CharField(label="Issued by", max_length=200, required=False)
    number = forms.CharField(label="Number", max_length=200, required=False)
    valid_from = day_field("Valid from", required=True)
    valid_until = day_field("Valid until")
    replaces = forms.ChoiceField(label="Replaces a wrong entry", required=False)
    remarks = forms.CharField(label="Remarks", max_length=4000, required=False)

    def __init__(
        self, *args: Any, people: list[tuple[str, str]], replaceable: list[tuple[str, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].choices = people  # type: ignore[attr-defined]
        self.fields["replaces"].choices = [("", "no"), *replaceable]  # type: ignore[attr-defined]

    def body(self) -> dict[str, Any]:
        """The certificate as the record reads it."""
        given = self.cleaned_data
        body = {name: iso(given[name]) for name in ("valid_from", "valid_until") if given[name]}
        names = ("person", "subject", "issuer", "number", "replaces", "remarks")
        return body | {name: given[name] for name in names if given[name]}
