"""Template tags that show figures, moments, words and marks; each is one call into `views.display`."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django import template
from django.template.context import Context
from django.utils.html import format_html
from django.utils.safestring import SafeString

from compaction.calculations.methods import METHODS
from compaction.register import MARK_WORDS, FailureRow, TestRow
from compaction.register import mark as mark_of
from compaction.views import display

register = template.Library()


@register.simple_tag(takes_context=True)
def word(context: Context, name: str, capital: bool = False) -> str:
    """A trade word in the project's language of practice."""
    text = display.word(context["project"], name)
    return text[:1].upper() + text[1:] if capital else text


@register.simple_tag(takes_context=True)
def density(context: Context, value: Decimal | None, unit: bool = True) -> str:
    """A density in the project's unit."""
    return display.density(context["project"], value, unit=unit)


@register.simple_tag(takes_context=True)
def density_unit(context: Context) -> str:
    """The project's unit of density."""
    return display.density_unit(context["project"])


@register.simple_tag(takes_context=True)
def length(context: Context, value: Decimal | None, unit: bool = True) -> str:
    """A length in the project's unit."""
    return display.length(context["project"], value, unit=unit)


@register.simple_tag(takes_context=True)
def thickness(context: Context, value: Decimal | None) -> str:
    """A thickness in the project's unit."""
    return display.thickness(context["project"], value)


@register.simple_tag(takes_context=True)
def volume(context: Context, value: Decimal | None) -> str:
    """A volume of fill in the project's unit."""
    return display.volume(context["project"], value)


@register.filter
def percent(value: Decimal | None) -> str:
    """A percentage to 0.1."""
    return display.percent(value)


@register.filter
def signed(value: Decimal | None) -> str:
    """A difference in percent with its sign."""
    return display.percent(value, signed=True)


@register.simple_tag(takes_context=True)
def moment(context: Context, value: datetime | None, form: str = "%d %b %Y %H:%M") -> SafeString | str:
    """A moment on the project's clock; the offset is told on hover and to machines."""
    if value is None:
        return display.NOTHING
    there = display.local(context["project"], value)
    offset = there.strftime("%z")
    return format_html(
        '<time datetime="{}" title="{} (UTC{}:{})">{}</time>',
        there.isoformat(),
        there.strftime("%Y-%m-%d %H:%M:%S"),
        offset[:3],
        offset[3:],
        there.strftime(form).lstrip("0"),
    )


@register.filter
def day(value: date | None) -> str:
    """A calendar day, "Wed 3 Jun 2026"."""
    return display.NOTHING if value is None else f"{value:%a} {value.day} {value:%b %Y}"


@register.filter
def result_words(value: str) -> str:
    """A result in words."""
    return display.RESULT_WORDS.get(value, value.replace("_", " "))


@register.filter
def state_words(value: str) -> str:
    """The state of a failure in words."""
    return display.STATE_WORDS.get(value, value.replace("_", " "))


@register.filter
def method_words(value: str) -> str:
    """The title of a method."""
    return METHODS[value].title if value in METHODS else value.replace("_", " ")


@register.filter
def plain_words(value: str) -> str:
    """A code with its joints opened: "own-slip" reads "own slip"."""
    return value.replace("_", " ").replace("-", " ")


@register.inclusion_tag("_mark.html")
def mark(row: TestRow) -> dict[str, Any]:
    """The mark of a test: shape first, colour second, words for those who see neither."""
    key = mark_of(row)
    return {"key": key, "words": MARK_WORDS[key]}


@register.inclusion_tag("_mark.html")
def mark_named(key: str) -> dict[str, Any]:
    """A mark by its key, for legends and for results that are not tests."""
    return {"key": key, "words": MARK_WORDS.get(key, key)}


@register.inclusion_tag("_field.html")
def field(bound: Any, wide: bool = False) -> dict[str, Any]:
    """One field of a form: label, input, help, what is wrong."""
    return {"field": bound, "wide": wide}


@register.inclusion_tag("compaction/_entry_field.html")
def entry_field(described: Any, label: str = "") -> dict[str, Any]:
    """One field of the entry form."""
    return {"f": described, "label": label}


@register.inclusion_tag("_mark.html")
def failure_mark(row: FailureRow) -> dict[str, Any]:
    """The mark of a failure."""
    key = display.failure_mark_key(row)
    return {"key": key, "words": MARK_WORDS[key]}


@register.simple_tag(takes_context=True)
def length_unit(context: Context) -> str:
    """The project's unit of elevations."""
    return display.length_unit(context["project"])


@register.filter
def changed_first(rows: Any) -> list[Any]:
    """Changes of a preview: those that turn a result first, pass to fail before fail to pass."""
    return sorted(
        rows, key=lambda change: (not change.result_changes, change.after != "fail", change.test.performed_at)
    )


@register.inclusion_tag("_mark.html")
def lot_mark(key: str, words: str) -> dict[str, Any]:
    """A mark with words of its own: a rule of a lot is met, not met or undecided."""
    return {"key": key, "words": words}


@register.filter
def key(mapping: Any, name: str) -> Any:
    """A member of a mapping by a name that is itself a value."""
    return mapping[name]
