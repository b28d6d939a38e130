"""What of every area and lift is placed, asked for, tested and released, and why: pure, from rows to `Covered`."""

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal
from typing import Any

from compaction.coverage import reduced
from compaction.coverage.belonging import Placements
from compaction.coverage.facts import Covered, Placed, Tested
from compaction.coverage.frequency import Demand, Group, RulesOf
from compaction.coverage.shared_ground import overlap_sentences
from compaction.coverage.stacking import Neighbours
from compaction.coverage.standing import Signed, Standing, standing, was_released
from compaction.coverage.touched import Layout, laid_out, lifts_above, lifts_below
from projects import canonical


@dataclass(frozen=True)
class Release:
    """An engineer's or manager's signature under the figures of a group."""

    area: str
    lift: int
    digest: str
    at: datetime
    person: str


@dataclass(frozen=True)
class Note:
    """A record "not tested, because"."""

    area: str
    lift: int
    words: str
    at: datetime


@dataclass(frozen=True)
class Book:
    """Everything that coverage follows from."""

    placed: tuple[Placed, ...] = ()
    tests: tuple[Tested, ...] = ()
    rules_of: RulesOf = lambda zone, moment: ()
    releases: tuple[Release, ...] = ()
    notes: tuple[Note, ...] = ()


@dataclass
class _Group:
    placed: list[Placed] = field(default_factory=list)
    tests: list[Tested] = field(default_factory=list)
    asked: Sequence[Demand] = ()
    standing: Standing | None = None
    signed: Signed | None = None
    withdrawn: bool = False
    figures: Covered | None = None


def grouped(book: Book) -> dict[Group, _Group]:
    """Placements and tests by the group that they belong to."""
    found: dict[Group, _Group] = {}
    for one in book.placed:
        found.setdefault((one.area, one.lift), _Group()).placed.append(one)
    where = Placements(book.placed)
    for test in book.tests:
        group = where.group_of(test)
        if group is not None:
            found.setdefault(group, _Group()).tests.append(test)
    for members in found.values():
        members.placed.sort(key=lambda row: (row.placed_at, row.uuid))
        members.tests.sort(key=lambda row: (row.performed_at, row.uuid))
    return found


def covered(book: Book) -> list[Covered]:
    """Every group, by area and lift. The order in which records arrived makes no difference."""
    groups = grouped(book)
    return worked_out(book, groups, laid_out(book.placed, book.rules_of), only=groups.keys())


def worked_out(book: Book, groups: Mapping[Group, _Group], layout: Layout, *, only: Set[Group]) -> list[Covered]:
    """The groups in `only` of those that `grouped` found, each as `covered` gives it.

    The layout is that of all placements; of the tests, `book` has to hold those that `touched` names.
    """
    asked, beside = layout.asked, layout.beside
    wanted = groups.keys() & only
    looked_at = wanted | layout.next_below(wanted)
    areas = {area for area, _ in looked_at}
    _reduce(groups, {group: part for group, part in asked.items() if group[0] in areas})
    releases: dict[Group, list[Release]] = {}
    for release in sorted(book.releases, key=lambda one: one.at):
        releases.setdefault((release.area, release.lift), []).append(release)
    notes = {(note.area, note.lift): note for note in sorted(book.notes, key=lambda one: one.at)}
    for group in looked_at:
        _stand(group, groups[group], asked.get(group, ()), notes.get(group), releases.get(group, ()))
    return [_shown(group, groups, beside.get(group, Neighbours())) for group in sorted(wanted)]


def _reduce(groups: Mapping[Group, _Group], asked: Mapping[Group, Sequence[Demand]]) -> None:
    if not any(demand.rule.reduced for part in asked.values() for demand in part):
        return
    tests: dict[str, list[Tested]] = {}
    for (area, _), group in groups.items():
        tests.setdefault(area, []).extend(group.tests)
    placed = {group: groups[group].placed[0].placed_at for group in asked}
    reduced.reduce(asked, first_placed=placed, tests_by_area=tests)


def _stand(name: Group, group: _Group, asked: Sequence[Demand], note: Note | None, releases: Sequence[Release]) -> None:
    """Figures first, then their digest, then whether a signature under them stands, then the state."""
    said = [one.not_tested for one in group.placed if one.not_tested]
    words = note.words if note else said[-1] if said and len(said) == len(group.placed) else ""
    exempt = bool(group.placed) and all(one.exempt for one in group.placed)
    group.asked = asked
    plain = standing(group.tests, asked, exempt=exempt, not_tested=words, placed=bool(group.placed))
    figures = _figures(name, group, plain)
    digest = canonical.digest(_digested(figures, group.placed, group.tests, plain))
    valid = [one for one in releases if one.digest == digest]
    if valid:
        group.signed = Signed(valid[0].person, valid[0].at)
    group.withdrawn = bool(releases) and not valid
    group.standing = standing(
        group.tests,
        asked,
        exempt=exempt,
        not_tested=words,
        placed=bool(group.placed),
        signed=group.signed,
        withdrawn=group.withdrawn,
    )
    group.figures = replace(figures, digest=digest)


def _figures(name: Group, group: _Group, stands: Standing) -> Covered:
    rows = group.placed
    ranged = [one for one in rows if one.alignment]
    volumes, areas = [one.volume_m3 for one in rows], [one.area_m2 for one in rows]
    tops = [one.elevation_top_m for one in rows if one.elevation_top_m is not None]
    return Covered(
        area=name[0],
        lift=name[1],
        state="open",
        sentence="",
        required=stands.required,
        made=len(stands.made),
        passing=stands.passing,
        failing=stands.failing,
        short=stands.short,
        pending=stands.pending,
        held=stands.held,
        buried=sum(one.buried for one in group.tests),
        retests=sum(not one.original and not one.check and not one.voided for one in group.tests),
        not_tested=stands.not_tested,
        placements=len(rows),
        volume_m3=_sum(volumes),
        area_m2=None if not areas or None in areas else round(sum(value for value in areas if value is not None), 2),
        first_placed_at=rows[0].placed_at if rows else None,
        last_placed_at=rows[-1].placed_at if rows else None,
        station_from_m=min((one.station_from_m for one in ranged), default=None),
        station_to_m=max((one.station_to_m for one in ranged), default=None),
        alignment=ranged[0].alignment if ranged else "",
        elevation_top_m=max(tops, default=None),
        counts=tuple(count for demand in group.asked for count in demand.counts),
        zone=next((one.zone for one in rows if one.zone), "") or next((one.area for one in group.tests), ""),
        material=" ".join(dict.fromkeys(one.material for one in rows if one.material)),
        tests=tuple(one.uuid for one in stands.made),
        overlaps=overlap_sentences(rows),
    )


def _sum(values: Sequence[Decimal | None]) -> Decimal | None:
    if not values or None in values:
        return None
    return sum((value for value in values if value is not None), Decimal(0))


def _digested(figures: Covered, placed: Iterable[Placed], tests: Iterable[Tested], stands: Standing) -> dict[str, Any]:
    """What a signature is under: quantities, what was asked for, and every test with its result."""
    return {
        "group": [figures.area, figures.lift],
        "placed": [[one.uuid, one.placed_at.isoformat(), one.volume_m3] for one in placed],
        "asked": [
            [count.rule, count.basis, count.quantity, count.interval, count.required] for count in figures.counts
        ],
        "notes": list(stands.notes),
        "not_tested": figures.not_tested,
        "tests": [
            [one.uuid, one.result, one.held, one.voided, one.exempt, one.failure_state, one.buried] for one in tests
        ],
    }


def _shown(name: Group, groups: Mapping[Group, _Group], beside: Neighbours) -> Covered:
    group = groups[name]
    assert group.figures is not None
    assert group.standing is not None
    over = []
    for below in beside.next_below:
        under = groups[below]
        early = [
            one for one in group.placed if not was_released(under.tests, under.asked, under.standing, one.placed_at)
        ]
        if early:
            over.append(f"It was placed {early[0].day} over lift {below[1]} of {below[0]}, not released by then.")
    stands = group.standing
    return replace(
        group.figures,
        state=stands.state,
        sentence=" ".join([stands.sentence, *over]),
        below=lifts_below(beside),
        above=lifts_above(beside),
        over_unreleased=bool(over),
        signed_by=group.signed.person if group.signed else "",
        signature_wanted=stands.signature_wanted,
        withdrawn=group.withdrawn,
    )
