"""A station beside coordinates: it chooses among the feet, and is compared with what the coordinates say."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from projects.geometry.alignment import Alignment
from projects.geometry.foot_choice import STATE_WORDS, Choice, OnLine
from projects.geometry.parsing import StationText, parse_offset, parse_station
from projects.geometry.place_text import PlaceTextError
from projects.geometry.stated import PlainFinding, StatedPosition, finding, metres
from projects.geometry.station_format import StationFormat

ANSWER: Final = "State the alignment, or a station beside the coordinates."


@dataclass(frozen=True)
class Beside:
    """Station and offset stated beside coordinates; `read` is empty where the text was not understood."""

    text: str
    offset: str
    read: StationText | None
    problem: str = ""

    @property
    def alignment(self) -> str:
        """The line that the station names, if any."""
        return "" if self.read is None else self.read.alignment

    def on(self, lines: Mapping[str, Alignment]) -> dict[str, list[float]]:
        """Where the station is on each line (internal, metres): nowhere, once, or more often at equations."""
        if self.read is None:
            return {}
        read = self.read
        return {
            code: [
                float(line.unit.to_metres(place.internal))
                for place in line.stationing.display_to_internal(
                    read.value, zone=read.zone, kilometre=read.whole, metres=read.rest
                )
            ]
            for code, line in lines.items()
        }

    def remarks(self, choice: Choice, *, lines: Mapping[str, Alignment]) -> list[PlainFinding]:
        """What does not fit: a station that is not understood or near no foot, an offset that is not the foot's."""
        if self.read is None:
            return [finding("station-not-understood", "validity", self.problem, text=self.text)]
        if not any(self.on(lines).values()):
            where = f"there is no such station on {' and '.join(lines)}"
            sentence = f"{self.text} is stated beside the coordinates, but {where}. Check both."
            return [finding("station-disagrees", "validity", sentence, text=self.text)]
        if choice.off_m is not None:
            return [
                finding(
                    "station-disagrees",
                    "validity",
                    f"{self.text} is stated beside the coordinates, but the nearest place that these can have is "
                    f"{choice.off_m:.2f} m along the line from it. Check both.",
                    text=self.text,
                    off_m=metres(choice.off_m),
                )
            ]
        if choice.chosen is None:
            return []
        return self._offset(choice.chosen)

    def _offset(self, chosen: OnLine) -> list[PlainFinding]:
        text = self.offset or (self.read.offset_text if self.read else "")
        if not text:
            return []
        try:
            stated_m = metres(parse_offset(text, chosen.line.unit))
        except PlaceTextError as error:
            return [finding("offset-not-understood", "validity", str(error), text=text)]
        off_m = abs(stated_m - Decimal(repr(chosen.foot.offset_m)))
        if off_m <= chosen.line.foot_limits.station_within_m:
            return []
        sentence = f"The offset {text} beside the coordinates is {off_m:.2f} m from that of the foot. Check both."
        return [finding("station-disagrees", "validity", sentence, text=text, off_m=metres(off_m))]


def read_beside(
    stated: StatedPosition, alignments: Mapping[str, Alignment], station_format: StationFormat
) -> Beside | None:
    """The station stated beside coordinates; None where none is stated."""
    if not stated.station:
        return None
    try:
        read = parse_station(
            stated.station,
            digits_after_plus=station_format.digits_after_plus,
            alignments=tuple(alignments),
            unequal_kilometres=any(line.stationing.unequal_kilometres for line in alignments.values()),
        )
    except PlaceTextError as error:
        return Beside(stated.station, stated.offset, None, str(error))
    return Beside(stated.station, stated.offset, read)


def question(places: Sequence[OnLine], station_format: StationFormat) -> PlainFinding:
    """The places that coordinates may mean, as a hold: it stands until somebody says which."""
    said = "; ".join(f"{place_text(one, station_format)} ({STATE_WORDS[one.foot.state]})" for one in places)
    return finding(
        "station-ambiguous",
        "hold",
        f"The coordinates fit {len(places)} places about equally: {said}. Which is meant? {ANSWER}",
        alignments=", ".join(dict.fromkeys(one.code for one in places)),
        distances_m=", ".join(str(metres(one.foot.distance_m)) for one in places),
        states=", ".join(one.foot.state for one in places),
    )


def elsewhere_text(choice: Choice, station_format: StationFormat) -> str:
    """A sentence on the nearest perpendicular foot, where nothing nearer has a station."""
    if choice.elsewhere is None:
        return ""
    return f" The nearest perpendicular foot is on {place_text(choice.elsewhere, station_format)}. {ANSWER}"


def place_text(one: OnLine, station_format: StationFormat) -> str:
    """Line, station and offset as on the plans."""
    unit = one.line.unit
    station = one.line.stationing.text(unit.from_metres(metres(one.foot.station_m)), station_format)
    offset = unit.from_metres(abs(metres(one.foot.offset_m))).quantize(Decimal("0.01"))
    side = "on the line" if offset == 0 else f"{offset} {unit.symbol} {'L' if one.foot.offset_m < 0 else 'R'}"
    return f"{one.code} {station}, {side}"
