"""From a form to an action and back: what an action refuses is told at the form, at the field it is about."""

from collections.abc import Callable
from typing import Any

from django import forms

from compaction.actions.refusals import Refused
from compaction.calculations.errors import ReadingsError
from compaction.observation import ContentError
from projects.access import NotAllowed


def attempt(form: forms.Form, work: Callable[[], Any]) -> Any:
    """What `work` returns, or None with the refusal written on the form."""
    try:
        return work()
    except (Refused, NotAllowed) as error:
        form.add_error(None, str(error))
    except ReadingsError as several:
        for one in several.errors:
            tell(form, one.pointer, one.sentence)
    except ContentError as several:
        for pointer, _, sentence in several.errors:
            tell(form, pointer, sentence)
    return None


def tell(form: forms.Form, pointer: str, sentence: str) -> None:
    """Write a sentence at the field that a JSON pointer means, else above the form with the place named."""
    name, _, rest = pointer.lstrip("/").partition("/")
    if name in form.fields and not rest:
        form.add_error(name, sentence)
        return
    place = " ".join(part if not part.isdigit() else f"row {int(part) + 1}:" for part in pointer.strip("/").split("/"))
    form.add_error(None, f"{place.replace('_', ' ')} {sentence}".strip())
