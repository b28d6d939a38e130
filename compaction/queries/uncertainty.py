"""The uncertainty of one test as its set-up stands now, with standard uncertainties that the asker may state."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Final

from compaction.calculations.errors import ReadingError
from compaction.calculations.quantities import parse_number, parse_quantity
from compaction.evaluation.uncertainty import UncertaintyReport, report
from compaction.queries import set_up
from compaction.queries.derivation import gathered
from compaction.queries.rows import TestStory
from projects.access import Open

#: end of an input's name -> kind of quantity of its uncertainty; a temperature difference has no zero point
_KINDS: Final = {"_kgm3": "density", "_kg": "mass", "_m3": "volume", "_m": "length", "_pct": "percent"}


class StatedWrong(ValueError):
    """A stated standard uncertainty that cannot be read; the sentence says which and why."""


def report_of(opened: Open, story: TestStory, *, stated: Mapping[str, str] | None = None) -> UncertaintyReport:
    """Budgets and conformity of a test. `stated`: quantities by name of the input. Raises `StatedWrong`."""
    inputs, _ = gathered(story.content, set_up=set_up.load(opened.project, setup_seq=opened.setup_seq))
    found = report(inputs, stated={name: _standard(name, text) for name, text in (stated or {}).items()})
    names = [one.name for one in found.inputs]
    for name in stated or {}:
        if name not in names:
            raise StatedWrong(f"{ascii(name)[:60]} is not an input of this test; its inputs: {', '.join(names)}.")
    return found


def stated_in_line(text: str) -> dict[str, str]:
    """ "sand_bulk_density_kgm3=8 kg/m3; mass_before_kg=2 g" by name. Raises `StatedWrong`."""
    found: dict[str, str] = {}
    for part in filter(None, (part.strip() for part in text.split(";"))):
        name, sign, quantity = part.partition("=")
        if not sign or name.strip() in found:
            raise StatedWrong(f"{ascii(part)[:60]} is not one 'name=quantity'; part several by ';', each name once.")
        found[name.strip()] = quantity.strip()
    for name, quantity in found.items():
        _standard(name, quantity)
    return found


def _standard(name: str, text: str) -> Decimal:
    ends = [end for end in _KINDS if name.endswith(end)]
    try:
        value = parse_quantity(text, _KINDS[max(ends, key=len)]) if ends else parse_number(text)
    except ReadingError as error:
        raise StatedWrong(f"{ascii(name)[:60]}: {error.sentence}") from None
    if value < 0:
        raise StatedWrong(f"{ascii(name)[:60]}: a standard uncertainty cannot be below zero.")
    return value
