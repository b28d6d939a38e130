"""From when a page points something out: the part of a specification's form for it."""

from collections.abc import Mapping
from typing import Any, Final

from django import forms

from compaction.forms.quantities import QuantityField
from compaction.records.looks import LOOK_FIELDS
from projects.models import Project

PREFIX: Final = "looks_"
TIMES: Final = f"{PREFIX}least_times"
NAMES: Final = (*(PREFIX + field.name for field in LOOK_FIELDS), TIMES)


def add_fields(form: forms.Form, project: Project) -> None:
    """Put the fields on a form, filled from the `looks` of its initial content."""
    for field in LOOK_FIELDS:
        form.fields[PREFIX + field.name] = (
            forms.IntegerField(label=field.label, min_value=1, required=False)
            if field.kind == "count"
            else QuantityField(project=project, kind=field.kind, label=field.label, required=False)
        )
    form.fields[TIMES] = LeastTimes()
    for name, value in (form.initial.get("looks") or {}).items():
        form.initial[PREFIX + name] = value
    if isinstance(times := form.initial.get(TIMES), Mapping):
        form.initial[TIMES] = "\n".join(f"{method}: {time}" for method, time in times.items())


def body(cleaned: Mapping[str, Any]) -> dict[str, Any]:
    """What was filled in, as the record reads it; empty where nothing was."""
    return {name.removeprefix(PREFIX): cleaned[name] for name in NAMES if cleaned.get(name)}


class LeastTimes(forms.CharField):
    """Method -> least time, one a line."""

    def __init__(self) -> None:
        super().__init__(
            label="Least time of a test, by method",
            max_length=400,
            required=False,
            widget=forms.Textarea(attrs={"rows": 2}),
            help_text="One a line, for example sand_cone: 15 min. Nothing stated in this fold: common practice.",
        )

    def clean(self, value: Any) -> dict[str, str]:
        """The lines as a mapping."""
        found = {}
        for line in super().clean(value).splitlines():
            method, colon, time = line.partition(":")
            if line.strip() and not colon:
                raise forms.ValidationError("Write each as method: time, for example sand_cone: 15 min.")
            if line.strip():
                found[method.strip()] = " ".join(time.split())
        return found
