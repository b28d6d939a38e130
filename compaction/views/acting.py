"""From a form to an action and back: what an action refuses is told at the form, at the field it is about."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from django import forms

from compaction.actions.refusals import Refused
from compaction.calculations.errors import ReadingsError
from compaction.observation import ContentError
from compaction.views.project_time import MomentNotUnderstood
from projects.access import NotAllowed

#: name in the body -> the forms of its rows, in the order in which they were sent
Rows = Mapping[str, Sequence[forms.Form]]


def attempt(form: forms.Form, work: Callable[[], Any], *, moment: str | None = None, rows: Rows | None = None) -> Any:
    """What `work` returns, or None with the refusal written on the form, or on the row that it is about.

    `moment` is the field of a typed moment.
    """
    try:
        return work()
    except (Refused, NotAllowed) as error:
        form.add_error(None, str(error))
    except MomentNotUnderstood as error:
        form.add_error(moment, str(error))
    except ReadingsError as several:
        for one in several.errors:
            tell(*_row_of(form, one.pointer, rows or {}), one.sentence)
    except ContentError as several:
        for pointer, _, sentence in several.errors:
            tell(form, pointer, sentence)
    return None


def _row_of(form: forms.Form, pointer: str, rows: Rows) -> tuple[forms.Form, str]:
    name, _, rest = pointer.lstrip("/").partition("/")
    number, _, inner = rest.partition("/")
    if number.isdigit() and int(number) < len(rows.get(name, ())):
        row = rows[name][int(number)]
        field, _, deeper = inner.partition("/")
        if field in row.fields and isinstance(row.fields[field], forms.MultiValueField):
            return row, field  # both ends of a range stand in one field
        return row, f"{field}/{deeper}" if deeper else field
    return form, pointer


def tell(form: forms.Form, pointer: str, sentence: str) -> None:
    """Write a sentence at the field that a JSON pointer means, else above the form with the place named."""
    name, _, rest = pointer.lstrip("/").partition("/")
    if name in form.fields and not rest:
        form.add_error(name, sentence)
        return
    place = " ".join(part if not part.isdigit() else f"row {int(part) + 1}:" for part in pointer.strip("/").split("/"))
    form.add_error(None, f"{place.replace('_', ' ')} {sentence}".strip())
