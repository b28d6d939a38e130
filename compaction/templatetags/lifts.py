"""Template tags of lifts: their address and their state, shape first."""

from django import template
from django.template.context import Context
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString

from compaction.coverage.facts import Covered
from compaction.queries.day import NextLocation
from compaction.views.location_text import location_text

register = template.Library()


@register.simple_tag(takes_context=True)
def lift_url(context: Context, group: Covered) -> str:
    """The page of one area on one lift."""
    return reverse("lift", args=[context["project"].code, group.area, group.lift])


@register.simple_tag
def lift_state(state: str) -> SafeString:
    """A state as sign and word: open, short, failed, released."""
    return format_html('<span class="lift-state {}">{}</span>', state, state)


@register.filter
def passing_of_required(group: Covered) -> str:
    """What passes and what is asked for, as the map says it: "2 pass, 3 required, 1 missing"."""
    required = "number required not known" if group.required is None else f"{group.required} required"
    return f"{group.passing} pass, {required}" + (f", {group.short} missing" if group.short else "")


@register.filter
def place_of(one: NextLocation) -> str:
    """Station and offset of the next location of a lift, as on the plans."""
    return location_text(one.under, one.line)
