"""Laboratory compaction methods as data: mould, layers, blows, rammer, sieve, by method and edition.

Every line is from memory unless its source says where it was read; compare it with the edition in force and replace it
here. What a record states is checked against its line, and what it does not state is not guessed.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from compaction.calculations.errors import ImpossibleReading
from compaction.calculations.oversize import SIEVE_NAMES
from compaction.calculations.quantities import INCH_M, POUND_KG, STANDARD_GRAVITY_MS2
from compaction.facts import Finding

_FT3_M3: Final = Decimal("0.028316846592")


@dataclass(frozen=True)
class Mould:
    """A compaction mould: name, diameter (m), volume (m3) and how far the volume may be off (m3)."""

    name: str
    diameter_m: Decimal
    volume_m3: Decimal
    tolerance_m3: Decimal


@dataclass(frozen=True)
class LaboratoryMethod:
    """One method and procedure. `blows` is 0 for a vibrating hammer, which works `seconds` a layer."""

    code: str
    title: str
    edition: str
    mould: Mould
    layers: int
    blows: int
    rammer_kg: Decimal
    drop_m: Decimal
    sieve_mm: Decimal
    sieve: str = ""  # the code of the sieve in records
    seconds: int = 0
    source: str = ""
    from_memory: bool = True

    @property
    def energy_kjm3(self) -> Decimal | None:
        """Work by volume of the mould, kJ/m3; None for a vibrating hammer."""
        if not self.blows:
            return None
        return energy_kjm3(
            layers=self.layers,
            blows=self.blows,
            rammer_kg=self.rammer_kg,
            drop_m=self.drop_m,
            mould_volume_m3=self.mould.volume_m3,
        )


def energy_kjm3(*, layers: int, blows: int, rammer_kg: Decimal, drop_m: Decimal, mould_volume_m3: Decimal) -> Decimal:
    """Work of compaction by volume, kJ/m3: blows x layers x mass x g x drop / volume. Validity: all above zero.

    Raises `ImpossibleReading`. Source: ASTM D698 section on terminology, standard effort (from memory).

    >>> round(energy_kjm3(layers=3, blows=25, rammer_kg=Decimal("2.4948"), drop_m=Decimal("0.3048"),
    ...     mould_volume_m3=Decimal("0.000944")))
    592
    """
    if min(layers, blows) <= 0 or min(rammer_kg, drop_m, mould_volume_m3) <= 0:
        raise ImpossibleReading("effort-not-positive", "Layers, blows, rammer, drop and volume are all above zero.")
    return layers * blows * rammer_kg * STANDARD_GRAVITY_MS2 * drop_m / mould_volume_m3 / 1000


_INCH4 = Mould("4-in. mould", 4 * INCH_M, _FT3_M3 / 30, Decimal("0.0005") * _FT3_M3)
_INCH6 = Mould("6-in. mould", 6 * INCH_M, Decimal("0.075") * _FT3_M3, Decimal("0.0009") * _FT3_M3)
_LITRE = Mould("1-litre mould", Decimal("0.105"), Decimal("0.001"), Decimal("0.000020"))
_CBR = Mould("CBR mould", Decimal("0.152"), Decimal("0.002305"), Decimal("0.000050"))
_IS1000 = Mould("1000-cm3 mould", Decimal("0.100"), Decimal("0.001"), Decimal("0.000005"))
_IS2250 = Mould("2250-cm3 mould", Decimal("0.150"), Decimal("0.002250"), Decimal("0.000010"))
_NO4, _THREE_EIGHTHS, _THREE_QUARTERS = (
    (Decimal("4.75"), "no4"),
    (Decimal("9.5"), "three_eighths"),
    (Decimal(19), "three_quarters"),
)
_20MM, _37MM = (Decimal(20), "twenty_mm"), (Decimal("37.5"), "one_and_half")
_STANDARD = (3, Decimal("5.5") * POUND_KG, 12 * INCH_M)
_MODIFIED = (5, 10 * POUND_KG, 18 * INCH_M)


def _methods() -> Iterable[LaboratoryMethod]:
    astm = (("A", _INCH4, 25, _NO4), ("B", _INCH4, 25, _THREE_EIGHTHS), ("C", _INCH6, 56, _THREE_QUARTERS))
    aashto = (
        ("A", _INCH4, 25, _NO4),
        ("B", _INCH6, 56, _NO4),
        ("C", _INCH4, 25, _THREE_QUARTERS),
        ("D", _INCH6, 56, _THREE_QUARTERS),
    )
    rows = (
        ("D698", "ASTM D698", "procedure", "2012", _STANDARD, astm, "table 1"),
        (
            "D1557",
            "ASTM D1557",
            "procedure",
            "2012",
            _MODIFIED,
            astm,
            "table 1; procedure B read on a laboratory's form",
        ),
        ("T99", "AASHTO T 99", "method", "2019", _STANDARD, aashto, "table of methods"),
        ("T180", "AASHTO T 180", "method", "2020", _MODIFIED, aashto, "table of methods"),
    )
    for prefix, title, word, edition, (layers, rammer, drop), procedures, where in rows:
        for letter, mould, blows, (sieve_mm, sieve) in procedures:
            yield LaboratoryMethod(
                f"{prefix}-{letter}", f"{title} {word} {letter}", edition,
                mould, layers, blows, rammer, drop, sieve_mm, sieve, source=f"{title}, {where}",
            )  # fmt: skip
    british = "BS 1377-4 clause {}; blows and drop of the 2.5 kg rammer as read in a laboratory manual on it"
    for code, title, clause, mould, layers, blows, mass, fall, (sieve_mm, sieve) in (
        ("BS-light", "2.5 kg rammer, 1-litre mould", "3.3", _LITRE, 3, 27, "2.5", "0.3", _20MM),
        ("BS-light-CBR", "2.5 kg rammer, CBR mould", "3.4", _CBR, 3, 62, "2.5", "0.3", _37MM),
        ("BS-heavy", "4.5 kg rammer, 1-litre mould", "3.5", _LITRE, 5, 27, "4.5", "0.45", _20MM),
        ("BS-heavy-CBR", "4.5 kg rammer, CBR mould", "3.6", _CBR, 5, 62, "4.5", "0.45", _37MM),
        ("BS-vibrating", "vibrating hammer", "3.7", _CBR, 3, 0, "0", "0", _37MM),
    ):
        yield LaboratoryMethod(
            code, f"BS 1377-4 {title}", "1990", mould, layers, blows, Decimal(mass), Decimal(fall), sieve_mm, sieve,
            seconds=0 if blows else 60, source=british.format(clause),
        )  # fmt: skip
    for code, title, part, mould, layers, blows, mass, fall, (sieve_mm, sieve) in (
        ("IS-light", "light", "7 (1980)", _IS1000, 3, 25, "2.6", "0.31", _20MM),
        ("IS-light-2250", "light", "7 (1980)", _IS2250, 3, 56, "2.6", "0.31", _37MM),
        ("IS-heavy", "heavy", "8 (1983)", _IS1000, 5, 25, "4.9", "0.45", _20MM),
        ("IS-heavy-2250", "heavy", "8 (1983)", _IS2250, 5, 56, "4.9", "0.45", _37MM),
    ):
        yield LaboratoryMethod(
            code, f"IS 2720-{part[0]} {title} compaction, {mould.name}", part[3:7], mould, layers, blows, Decimal(mass),
            Decimal(fall), sieve_mm, sieve, source=f"IS 2720 part {part}; blows, rammer and drop as in a summary",
        )  # fmt: skip


#: code -> method, in order
METHODS: Final[Mapping[str, LaboratoryMethod]] = {method.code: method for method in _methods()}

_INCH_FAMILY = re.compile(
    r"(?:astm|aashto)?[ -]*(d|t)[ -]*(698|1557|99|180)(?:[ -:]*(?:19|20)?\d\d(?:\(\d+\))?(?:e\d)?)?"
    r"[ ,:-]*(?:method|procedure|proc\.?)?[ :-]*([a-d])"
)


def method_code(text: str) -> str:
    """The code of a method as people write it, or "" for one that is not in the table: those are free text.

    Source: common practice (no source).

    >>> [method_code(text) for text in ("ASTM D698-12 Method A", "T 99 C", "BS 1377-4 heavy", "IS 2720 Part 8", "Hilf")]
    ['D698-A', 'T99-C', 'BS-heavy', 'IS-heavy', '']
    """
    if text in METHODS:
        return text
    plain = " ".join(text.lower().split())
    if inch := _INCH_FAMILY.fullmatch(plain):
        code = f"{inch[1].upper()}{inch[2]}-{inch[3].upper()}"
        return code if code in METHODS else ""
    if re.match(r"bs ?1377", plain):
        if "vibrat" in plain or re.search(r"\b3\.7\b", plain):
            return "BS-vibrating"
        large = "-CBR" if "cbr" in plain or re.search(r"\b3\.[46]\b", plain) else ""
        if re.search(r"light|2\.5 ?kg|\b3\.[34]\b", plain):
            return f"BS-light{large}"
        return f"BS-heavy{large}" if re.search(r"heavy|4\.5 ?kg|\b3\.[56]\b", plain) else ""
    if indian := re.match(r"is ?:? ?2720[ -]*\(?(?:part)?[ -]*(vii|viii|7|8)\b", plain):
        large = "-2250" if "2250" in plain or "large" in plain else ""
        return f"IS-{'light' if indian[1] in ('vii', '7') else 'heavy'}{large}"
    return ""


def stated_findings(
    method: str,
    *,
    mould_diameter_m: Decimal | None = None,
    mould_volume_m3: Decimal | None = None,
    layers: int | None = None,
    blows: int | None = None,
    rammer_kg: Decimal | None = None,
    drop_m: Decimal | None = None,
    sieve: str = "",
) -> tuple[Finding, ...]:
    """Where what a record states is not what its method asks for; what is not stated is not checked.

    Findings: "mould-does-not-fit-method", "mould-volume-does-not-fit-method", "layers-do-not-fit-method",
    "blows-do-not-fit-mould", "rammer-does-not-fit-method", "drop-does-not-fit-method", "sieve-does-not-fit-method", and
    "method-not-in-table" (information) where something is stated of a method that is not kept.
    Source: `LaboratoryMethod.source`; diameters within 2 mm, rammer 2 %, drop 3 mm (common practice, no source).

    >>> [one.code for one in stated_findings("D1557-A", layers=5, blows=56)]
    ['blows-do-not-fit-mould']
    """
    stated = (mould_diameter_m, mould_volume_m3, layers, blows, rammer_kg, drop_m)
    known = METHODS.get(method_code(method))
    if known is None:
        if all(one is None for one in stated):
            return ()
        sentence = f"No mould, layers and blows are on file for {method}; they were not checked."
        return (Finding("method-not-in-table", "information", sentence),)
    mould = known.mould
    found: list[Finding] = []

    def differs(code: str, what: str, wanted: str) -> None:
        sentence = f"{known.title} was made with {what}; the method asks for {wanted}. The maximum belongs to another "
        found.append(
            Finding(code, "validity", f"{sentence}effort until this is cleared up.", {"found": what, "wanted": wanted})
        )

    if mould_diameter_m is not None and abs(mould_diameter_m - mould.diameter_m) > Decimal("0.002"):
        differs("mould-does-not-fit-method", f"a mould of {_mm(mould_diameter_m)}", _mm(mould.diameter_m))
    if mould_volume_m3 is not None and abs(mould_volume_m3 - mould.volume_m3) > mould.tolerance_m3:
        wanted = f"{_cm3(mould.volume_m3)} within {_cm3(mould.tolerance_m3)}"
        differs("mould-volume-does-not-fit-method", f"a mould of {_cm3(mould_volume_m3)}", wanted)
    if layers is not None and layers != known.layers:
        differs("layers-do-not-fit-method", f"{layers} layers", str(known.layers))
    if blows is not None and blows != known.blows:
        wanted = f"{known.blows} in the {mould.name}" if known.blows else f"{known.seconds} s of vibration"
        differs("blows-do-not-fit-mould", f"{blows} blows a layer", wanted)
    if known.blows and rammer_kg is not None and abs(rammer_kg / known.rammer_kg - 1) > Decimal("0.02"):
        differs("rammer-does-not-fit-method", f"a rammer of {rammer_kg:.2f} kg", f"{known.rammer_kg:.2f} kg")
    if known.blows and drop_m is not None and abs(drop_m - known.drop_m) > Decimal("0.003"):
        differs("drop-does-not-fit-method", f"a drop of {_mm(drop_m)}", _mm(known.drop_m))
    if sieve and known.sieve and not _same_sieve(sieve, known.sieve):
        differs("sieve-does-not-fit-method", f"material passing {SIEVE_NAMES[sieve]}", SIEVE_NAMES[known.sieve])
    return tuple(found)


def _same_sieve(one: str, other: str) -> bool:
    """19 mm stands for 20 mm where a laboratory has only one of them (common practice, no source)."""
    return one == other or {one, other} == {"three_quarters", "twenty_mm"}


def _mm(length_m: Decimal) -> str:
    return f"{length_m * 1000:.0f} mm ({length_m / INCH_M:.1f} in.)"


def _cm3(volume_m3: Decimal) -> str:
    return f"{volume_m3 * 1_000_000:.0f} cm3 ({volume_m3 / _FT3_M3:.4f} ft3)"
