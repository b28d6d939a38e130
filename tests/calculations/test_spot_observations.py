"""The direction of each observation, worked through the calculation: readings of a true spot, spoilt as it was seen."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

import pytest

from compaction.calculations.density import dry_density_kgm3
from compaction.calculations.methods import METHODS, work
from compaction.calculations.moisture import from_masses
from compaction.calculations.sand_cone import SandConeReadings
from compaction.calculations.spot_observations import (
    DIRECTIONS,
    EITHER,
    HIGH,
    LOW,
    MOISTURE,
    OBSERVATIONS,
    observations_for,
    spot_findings,
)

D = Decimal
#: the spot as it is: 2.4 L dug, 2100 kg/m3 wet, 12 % water; sand of 1400 kg/m3; a specimen of 500 g dry soil
VOLUME, WET, WATER, SAND, SPECIMEN_DRY = D("0.0024"), D(2100), D(12), D(1400), D("0.5")
CONE = D("1.6")
LITTLE = D("0.00005")  # m3
NONE, SOIL, SPECIMEN_WET = D(0), VOLUME * WET, SPECIMEN_DRY * (1 + WATER / 100)


@dataclass(frozen=True)
class Taken:
    """What gets onto the sheet: what the hole was measured by, what was weighed, and the moisture specimen."""

    filled: Decimal = VOLUME  # m3 reached by sand, water or balloon, or inside the cylinder
    spilled: Decimal = NONE  # kg of sand or of water that left without filling the hole
    sand_in_place: Decimal = SAND  # kg/m3 as it lies in hole and cone
    sand_calibrated: Decimal = SAND
    soil: Decimal = SOIL  # kg weighed
    specimen_wet: Decimal = SPECIMEN_WET
    specimen_dry: Decimal = SPECIMEN_DRY


def wet_density_by(volume_by: str, taken: Taken) -> Decimal:
    """Through the method's own calculation, from the readings that the spot as taken gives."""
    if volume_by == "sand":
        in_cone = CONE * taken.sand_in_place / SAND
        out = taken.filled * taken.sand_in_place + in_cone + taken.spilled
        calibrated_cone = CONE * taken.sand_calibrated / SAND if taken.sand_calibrated != SAND else CONE
        found = work(
            SandConeReadings(
                mass_before_kg=D(9),
                mass_after_kg=D(9) - out,
                cone_and_plate_mass_kg=calibrated_cone,
                sand_bulk_density_kgm3=taken.sand_calibrated,
                soil_wet_mass_kg=taken.soil,
            )
        )
    else:
        name = {"balloon": "rubber_balloon", "water": "test_pit_water", "cylinder": "drive_cylinder"}[volume_by]
        make = METHODS[name].readings_type
        readings: dict[str, Any] = {
            "balloon": {
                "initial_volume_m3": D("0.0005"),
                "final_volume_m3": D("0.0005") + taken.filled + taken.spilled / 1000,
                "soil_wet_mass_kg": taken.soil,
            },
            "water": {
                "water_temperature_degc": D(15),
                "liner_volume_m3": D(0),
                "soil_wet_mass_kg": taken.soil,
                "pit_water_volume_m3": D("0.001") + taken.filled + taken.spilled / 1000,
                "ring_water_volume_m3": D("0.001"),
            },
            "cylinder": {
                "cylinder_and_soil_mass_kg": D(2) + taken.soil,
                "cylinder_mass_kg": D(2),
                "cylinder_volume_m3": VOLUME,
            },
        }[volume_by]
        found = work(make(**readings))
    assert found.wet_density_kgm3 is not None
    return found.wet_density_kgm3


def water_of(taken: Taken) -> Decimal:
    return from_masses(wet_and_can_kg=taken.specimen_wet, dry_and_can_kg=taken.specimen_dry, can_kg=D(0))


def dry_by(volume_by: str, taken: Taken) -> Decimal:
    return dry_density_kgm3(wet_density_kgm3=wet_density_by(volume_by, taken), water_content_pct=water_of(taken))


def dried(mass_of_moist_soil: Decimal) -> Decimal:
    """The same soil after a fifth of its water has gone."""
    return mass_of_moist_soil * (1 + WATER * D("0.8") / 100) / (1 + WATER / 100)


def plus(**more: Decimal) -> Callable[[Taken], Taken]:
    return lambda taken: replace(taken, **{name: getattr(taken, name) + value for name, value in more.items()})


def times(**factors: str) -> Callable[[Taken], Taken]:
    return lambda taken: replace(taken, **{name: getattr(taken, name) * D(value) for name, value in factors.items()})


def loose_soil_left(taken: Taken) -> Taken:
    """100 g stay in the hole, lying at 1300 kg/m3: less than in the fill, but they keep the filling out."""
    return replace(taken, soil=taken.soil - D("0.1"), filled=taken.filled - D("0.1") / 1300)


#: code -> what it does to what is taken; several where it may go either way
SPOILT: dict[str, list[Callable[[Taken], Taken]]] = {
    "wall_squeezed_in": [plus(filled=-LITTLE)],
    "void_not_filled": [plus(filled=-LITTLE)],
    "loose_soil_left": [loose_soil_left],
    "soil_from_outside": [plus(soil=D("0.1"))],
    "sand_damp": [times(sand_in_place="0.93")],
    "sand_held_up": [plus(spilled=D("-0.05"))],
    "vibration_at_calibration": [times(sand_calibrated="1.02")],
    "balloon_air_trapped": [plus(filled=-LITTLE)],
    "liner_bridged": [plus(filled=-LITTLE)],
    "soil_pressed_in_cylinder": [times(soil="1.02")],
    "specimen_dried_before_weighing": [lambda taken: replace(taken, specimen_wet=dried(taken.specimen_wet))],
    "specimen_not_dried_out": [plus(specimen_dry=D("0.004"))],
    "rock_protruding": [plus(filled=-LITTLE), plus(soil=-LITTLE * 2650, filled=-LITTLE)],
    "plate_moved": [plus(filled=-LITTLE), plus(filled=LITTLE)],
    "surface_not_level": [plus(filled=LITTLE), plus(filled=-LITTLE)],
    "sand_dirty": [times(sand_in_place="1.02"), times(sand_in_place="0.98")],
    "hole_too_small": [plus(filled=LITTLE), plus(filled=-LITTLE)],
    "free_water": [plus(filled=-LITTLE), times(sand_in_place="1.03"), plus(filled=LITTLE)],
    "soil_and_specimen_dried": [
        lambda taken: replace(taken, soil=dried(taken.soil), specimen_wet=dried(taken.specimen_wet))
    ],
    "soil_lost": [plus(soil=D("-0.1"))],
    "vibration": [times(sand_in_place="1.02")],
    "jar_shaken": [times(sand_in_place="1.02")],
    "plate_rocking": [plus(filled=LITTLE)],
    "cone_lifted": [plus(spilled=D("0.05"))],
    "sand_ran_into_voids": [plus(filled=LITTLE)],
    "wall_pushed_out": [plus(filled=LITTLE)],
    "balloon_leaked": [plus(spilled=D("0.05"))],
    "liner_leaked": [plus(spilled=D("0.05"))],
    "soil_loosened_in_cylinder": [times(soil="0.98")],
    "soil_dried_before_weighing": [lambda taken: replace(taken, soil=dried(taken.soil))],
    "specimen_lost": [plus(specimen_dry=D("-0.004"))],
    "specimen_overheated": [plus(specimen_dry=D("-0.004"))],
}
#: worked with the gauge's own figures below; a spot that stands for nothing cannot be worked
BESIDE = {"gap_under_gauge", "wall_near_gauge", "spot_not_representative"}


def test_every_observation_is_worked_through() -> None:
    assert set(SPOILT) | BESIDE == set(OBSERVATIONS)


@pytest.mark.parametrize("volume_by", ["sand", "balloon", "water", "cylinder"])
def test_the_true_spot_comes_back(volume_by: str) -> None:
    assert abs(dry_by(volume_by, Taken()) - 2100 / D("1.12")) < D("1e-15")


CASES = [
    (code, volume_by)
    for code in SPOILT
    for volume_by in (OBSERVATIONS[code].volume_by or ("sand", "balloon", "water", "cylinder"))
]


@pytest.mark.parametrize(("code", "volume_by"), CASES)
def test_the_direction_is_what_the_calculation_does(code: str, volume_by: str) -> None:
    one, truth = OBSERVATIONS[code], dry_by(volume_by, Taken())
    true_water = water_of(Taken())
    spoilt = [spoil(Taken()) for spoil in SPOILT[code]]
    if volume_by != "sand":  # what only sand does to the volume
        spoilt = [taken for taken in spoilt if taken.sand_in_place == SAND]
    moved = [dry_by(volume_by, taken) - truth for taken in spoilt]
    if one.direction == HIGH:
        assert all(by > 1 for by in moved)
    elif one.direction == LOW:
        assert all(by < -1 for by in moved)
    elif one.direction == MOISTURE:
        assert all(abs(by) < D("1e-9") for by in moved)
    else:
        assert one.direction == EITHER
        assert min(moved) < -1
        assert max(moved) > 1
    for taken in spoilt:
        by = water_of(taken) - true_water
        assert (by > 0) == (one.water == "high")
        assert (by < 0) == (one.water == "low")


def test_what_lies_about_a_gauge_pulls_its_density_down() -> None:
    """Air under the gauge lowers the wet density it shows; a wall adds water to what it shows."""
    make = METHODS["nuclear_gauge"].readings_type

    def dry(wet: int, water: int) -> Decimal:
        found = work(make(mode="backscatter", wet_density_kgm3=D(wet), water_density_in_soil_kgm3=D(water)))
        assert found.dry_density_kgm3 is not None
        return found.dry_density_kgm3

    assert dry(2060, 225) < dry(2100, 225)
    assert dry(2100, 250) < dry(2100, 225)
    assert {OBSERVATIONS[code].direction for code in ("gap_under_gauge", "wall_near_gauge")} == {LOW}


@pytest.mark.parametrize("code", OBSERVATIONS)
def test_each_finding_says_what_was_seen_which_way_and_on_whose_word(code: str) -> None:
    one = OBSERVATIONS[code]
    volume_by = one.volume_by[0] if one.volume_by else "sand"
    (found,) = spot_findings([code], volume_by=volume_by)
    assert found.severity == ("information" if one.direction == LOW else "validity")
    assert one.words in found.sentence
    assert DIRECTIONS[one.direction][1] in found.sentence
    assert found.sentence.endswith(f"Source: {one.source}.")
    assert found.numbers == {"observation": code, "direction": one.direction}


def test_one_without_effect_on_the_method_is_kept_and_said_so() -> None:
    (found,) = spot_findings(["vibration"], volume_by="gauge")
    assert (found.severity, found.numbers["direction"]) == ("information", "none")
    assert "no known effect" in found.sentence


def test_every_way_to_a_volume_has_unsafe_and_safe_observations() -> None:
    for volume_by in {method.volume_by for method in METHODS.values()} - {""}:
        directions = {one.direction for one in observations_for(volume_by).values()}
        assert {HIGH, LOW} <= directions, volume_by
    named = {volume_by for one in OBSERVATIONS.values() for volume_by in one.volume_by}
    assert named <= {method.volume_by for method in METHODS.values()}
