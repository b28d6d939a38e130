"""Where the crew says the test is: read here, placed on the ground by `projects.geometry`."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from compaction.observation.choices import ELEVATION_SOURCES, LENGTHS
from compaction.observation.members import Members
from projects.geometry.coordinate_text import parse_latitude, parse_longitude

#: beyond these a stated figure is a slip of the pen, and no column could keep it
HIGHEST_M = 20_000
FARTHEST_M = 100_000_000


@dataclass(frozen=True)
class GpsFix:
    """A satellite fix sent along; degrees on WGS 84. It is compared with the stated position, never used for it."""

    latitude_deg: Decimal
    longitude_deg: Decimal
    accuracy_m: Decimal
    confidence_pct: Decimal | None = None
    fixed_at: datetime | None = None


@dataclass(frozen=True)
class ReceiverFix:
    """A place measured with a survey receiver (corrections, centimetres): the position itself, degrees on WGS 84.

    `ellipsoid_height_m` is kept as evidence; an elevation is never made of it.
    """

    latitude_deg: Decimal
    longitude_deg: Decimal
    accuracy_m: Decimal
    ellipsoid_height_m: Decimal | None = None


@dataclass(frozen=True)
class StatedPosition:
    """The position as stated. Station and offset stay text until the project's station format reads them.

    Beside coordinates a station (and an offset) only says which of several feet is meant, and is compared with it.
    """

    alignment: str = ""
    station: str = ""
    offset: str = ""
    easting_m: Decimal | None = None
    northing_m: Decimal | None = None
    easting_text: str = ""  # as written, with its unit: "602113.25 ftUS"
    northing_text: str = ""
    elevation_m: Decimal | None = None
    elevation_text: str = ""
    elevation_from: str = ""
    depth_below_grade_m: Decimal | None = None
    depth_below_grade_text: str = ""
    gps: GpsFix | None = None
    rtk: ReceiverFix | None = None

    @property
    def is_stated(self) -> bool:
        """Whether the position in plan is stated at all."""
        return bool(self.station) or self.easting_m is not None or self.rtk is not None


def read_members(members: Members | None) -> StatedPosition:
    """The position from its members; what contradicts itself is refused, what is missing stays missing."""
    if members is None:
        return StatedPosition()
    alignment = members.text("alignment", longest=LENGTHS["code"])
    station = members.text("station", longest=LENGTHS["station"])
    offset = members.text("offset", longest=LENGTHS["offset"])
    easting_m = members.quantity("easting", "length")
    northing_m = members.quantity("northing", "length")
    elevation_m = members.quantity("elevation", "length")
    elevation_from = members.choice("elevation_from", ELEVATION_SOURCES)
    depth_m = members.quantity("depth_below_grade", "length")
    gps = _gps(members.mapping("gps"))
    rtk = _receiver(members.mapping("rtk"))
    _check_pairs(members)
    for name, height_m in (("elevation", elevation_m), ("depth_below_grade", depth_m)):
        if height_m is not None and abs(height_m) > HIGHEST_M:
            members.problem(name, "out-of-range", f"No fill lies more than {HIGHEST_M} m above or below its datum.")
    for name, coordinate_m in (("easting", easting_m), ("northing", northing_m)):
        if coordinate_m is not None and abs(coordinate_m) > FARTHEST_M:
            members.problem(name, "out-of-range", f"No map grid reaches beyond {FARTHEST_M} m.")
    members.finish()
    return StatedPosition(
        alignment=alignment,
        station=station,
        offset=offset,
        easting_m=easting_m,
        northing_m=northing_m,
        easting_text=_as_written(members, "easting"),
        northing_text=_as_written(members, "northing"),
        elevation_m=elevation_m,
        elevation_text=_as_written(members, "elevation"),
        elevation_from=elevation_from,
        depth_below_grade_m=depth_m,
        depth_below_grade_text=_as_written(members, "depth_below_grade"),
        gps=gps,
        rtk=rtk,
    )


def _check_pairs(members: Members) -> None:
    for one, other, remedy in (
        ("station", "offset", "state the offset too; '0' on the line"),
        ("offset", "station", "state the station too"),
        ("easting", "northing", "state the northing too"),
        ("northing", "easting", "state the easting too"),
        ("elevation", "elevation_from", f"say how it was got: {', '.join(ELEVATION_SOURCES)}"),
    ):
        beside = one == "station" and (members.has("easting") or members.has("rtk"))  # there it only chooses a foot
        if members.has(one) and not members.has(other) and not beside:
            members.problem(other, "missing", f"'{one}' is stated without '{other}'; {remedy}.")
    for one, other, remedy in (
        ("easting", "rtk", "send one of the two; easting and northing follow from the receiver's place"),
        ("elevation", "depth_below_grade", "send the one that was measured; the other is worked out"),
    ):
        if members.has(one) and members.has(other):
            members.problem(other, "stated-twice", f"'{one}' and '{other}' are both stated; {remedy}.")
    if members.has("alignment") and not any(members.has(name) for name in ("station", "easting", "rtk")):
        members.problem("station", "missing", "'alignment' is stated without 'station'; state the station too.")


def _gps(members: Members | None) -> GpsFix | None:
    if members is None:
        return None
    latitude = members.number("latitude", required=True, within=(-90, 90))
    longitude = members.number("longitude", required=True, within=(-180, 180))
    accuracy_m = members.quantity("accuracy", "length", required=True)
    confidence_pct = members.quantity("confidence", "percent")
    fixed_at = members.time("fixed_at")
    members.finish()
    if accuracy_m is not None and accuracy_m < 0:
        members.problem("accuracy", "out-of-range", "An accuracy cannot be below zero.")
    if confidence_pct is not None and not 0 < confidence_pct < 100:
        members.problem("confidence", "out-of-range", "A confidence lies between 0 and 100 %, both excluded.")
    if latitude is None or longitude is None or accuracy_m is None:
        return None
    return GpsFix(latitude, longitude, accuracy_m, confidence_pct, fixed_at)


def _receiver(members: Members | None) -> ReceiverFix | None:
    if members is None:
        return None
    latitude = members.degrees("latitude", parse_latitude, required=True)
    longitude = members.degrees("longitude", parse_longitude, required=True)
    accuracy_m = members.quantity("accuracy", "length", required=True)
    height_m = members.quantity("ellipsoid_height", "length")
    members.finish()
    if accuracy_m is not None and accuracy_m < 0:
        members.problem("accuracy", "out-of-range", "An accuracy cannot be below zero.")
    if latitude is None or longitude is None or accuracy_m is None:
        return None
    return ReceiverFix(latitude, longitude, accuracy_m, height_m)


def _as_written(members: Members, name: str) -> str:
    value = members.content.get(name)
    return value if isinstance(value, str) else ""
