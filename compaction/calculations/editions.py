"""Which edition of a standard's table counts: the one that a specification names, else the newest on file."""

import re
from collections.abc import Mapping, Sequence
from typing import Final, Protocol, TypeVar

#: standard -> the year of its edition as a specification states it
Editions = Mapping[str, str]
NEWEST: Final[Editions] = {}
YEAR: Final = re.compile(r"(?:19|20)\d\d", re.ASCII)


class OfEdition(Protocol):
    """A table with the year from which its figures are known to stand in the standard."""

    @property
    def edition(self) -> str: ...  # noqa: D102


Table = TypeVar("Table", bound=OfEdition)


def in_force(tables: Sequence[Table], *, standard: str, editions: Editions = NEWEST) -> Table:
    """The table of a standard: the last one not younger than the edition that is named, without one the newest.

    `tables` go from old to new; before the first of them the first counts. `standard` may name a part of it behind
    " method ". Source: common practice (no source).

    >>> from compaction.calculations.hole_sizes import SMALLEST_HOLES
    >>> rows = SMALLEST_HOLES["ASTM D1556"]
    >>> [in_force(rows, standard="ASTM D1556", editions={"ASTM D1556": year}).edition for year in ("1996", "2007")]
    ['1990', '2000']
    >>> in_force(rows, standard="ASTM D1556").edition
    '2000'
    """
    stated = editions.get(standard.partition(" method ")[0], "")
    if not stated:
        return tables[-1]
    return next((one for one in reversed(tables) if one.edition <= stated), tables[0])


def cited(source: str, edition: str, *, from_memory: bool) -> str:
    """A table with its edition as findings and worksheets name it. Source: common practice (no source).

    >>> cited("ASTM D1556, table 1", "2000", from_memory=True)
    'ASTM D1556, table 1, edition of 2000, from memory'
    """
    return f"{source}, edition of {edition}{', from memory' if from_memory else ''}"
