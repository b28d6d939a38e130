"""Every formula that a worksheet may show, by step id: title, formula in symbols, source clause.

The worksheet of a test stores numbers by step id only; wording is looked up here when it is shown, so that a
clearer wording reaches old tests too. A test fails if a step id is missing here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final


@dataclass(frozen=True)
class Formula:
    """One formula. `from_memory`: the clause was not read in the current edition; check it before quoting it."""

    id: str
    title: str
    formula: str
    source: str
    from_memory: bool = True


_D1556 = "ASTM D1556, section on calculation; AASHTO T 191"
_SAND = _D1556 + "; the same arithmetic in BS 1377-9, clause 2, and IS 2720-28"
_D6938 = "ASTM D6938, section on calculation; AASHTO T 310"
_D4718 = "ASTM D4718, section on calculation; AASHTO T 99 and T 180, annex on oversize"
_PHASES = "Phase relations; ASTM D7263, section on calculation"

_ENTRIES = (
    # ---- sand cone
    Formula("sand-cone-sand-out", "Sand run out", "M = M1 - M2", _SAND),
    Formula("sand-cone-cone-mass", "Sand in cone and plate, given as a volume", "Mc = Vc rho_s", "BS 1377-9, clause 2"),
    Formula("sand-cone-hole-volume", "Volume of the hole", "V = (M - Mc) / rho_s", _SAND),
    Formula("sand-cone-wet-density", "Wet density", "rho = m / V", _SAND),
    Formula(
        "sand-bulk-density", "Bulk density of the sand", "rho_s = m_sand / V_container", _D1556 + ", annex on sand"
    ),
    Formula("cone-mass", "Sand in cone and plate", "Mc = M1 - M2", _D1556 + ", annex on cone"),
    Formula("cone-volume", "Volume of cone and plate", "Vc = Mc / rho_s", "BS 1377-9, clause 2"),
    Formula(
        "mould-volume-by-water",
        "Volume of a mould by water",
        "V = m_water / rho_water(T)",
        "ARIZ 225b (2015), appendix A",
        from_memory=False,
    ),
    # ---- rubber balloon, drive cylinder, test pits, stated wet density
    Formula("balloon-hole-volume", "Volume of the hole", "V = V2 - V1", "ASTM D2167, section on calculation"),
    Formula("balloon-wet-density", "Wet density", "rho = m / V", "ASTM D2167, section on calculation"),
    Formula("cylinder-volume", "Volume of the cylinder", "V = pi d^2 h / 4", "ASTM D2937, section on calibration"),
    Formula(
        "cylinder-wet-density",
        "Wet density in the cylinder",
        "rho = (M1 - M2) / V",
        "ASTM D2937, section on calculation; BS 1377-9, core cutter method; IS 2720-29",
    ),
    Formula(
        "pit-volume-by-sand", "Volume of the pit by sand", "V = (M - Mf) / rho_s", "ASTM D4914, section on calculation"
    ),
    Formula("pit-filling-by-mass", "Water as a volume", "V = m / rho_w(T)", "ASTM D5030, section on calculation"),
    Formula(
        "pit-volume-by-water",
        "Volume of the pit by water, liner added",
        "V = Vpit - Vring + Vliner",
        "ASTM D5030, section on calculation",
    ),
    Formula(
        "pit-wet-density", "Wet density of the whole", "rho = m / V", "ASTM D4914 and D5030, section on calculation"
    ),
    Formula(
        "stated-wet-density",
        "Wet density as stated, with its uncertainty",
        "rho = stated",
        "common practice (no source)",
    ),
    # ---- water content
    Formula(
        "water-content-from-masses",
        "Water content of one can",
        "w = 100 (m_wet - m_dry) / (m_dry - m_can)",
        "ASTM D2216, section 12; AASHTO T 265",
    ),
    Formula("water-content-mean", "Mean water content", "w = (w1 + ... + wn) / n", "common practice (no source)"),
    Formula(
        "carbide-half-specimen",
        "Half specimen: the dial is doubled before the change of basis",
        "R = 2 dial",
        "AASHTO T 217-14, section on procedure",
        from_memory=False,
    ),
    Formula(
        "wet-to-dry-basis",
        "Percent of wet mass to percent of dry mass",
        "w = 100 R / (100 - R)",
        "AASHTO T 217, section on calculation",
    ),
    # ---- density
    Formula("dry-density", "Dry density", "rho_d = rho / (1 + w/100)", _D1556),
    Formula("dry-density-from-water-mass", "Dry density less the water", "rho_d = rho - M", _D6938),
    Formula("water-content-from-water-mass", "Water content from the water", "w = 100 M / rho_d", _D6938),
    Formula("water-mass-from-water-content", "Water per volume", "M = rho w / (100 + w)", _D6938),
    Formula("percent-compaction", "Percent compaction", "PC = 100 rho_d / rho_d,max", "ASTM D6938, section on report"),
    # ---- nuclear gauge, transcribed sheets
    Formula(
        "gauge-offset-water",
        "Moisture offset as water per volume",
        "M = M_display + offset",
        "ASTM D6938, annex on moisture adjustment",
    ),
    Formula(
        "gauge-offset-points",
        "Moisture offset in points of water content",
        "w = w_display + offset",
        "ASTM D6938, annex on moisture adjustment",
    ),
    Formula(
        "transcribed-dry-density",
        "Dry density as stated on the sheet",
        "rho_d = stated",
        "common practice (no source)",
    ),
    # ---- oversize
    Formula("corrected-maximum", "Maximum of the whole material", "D = 100 / (Pf/Df + Pc/(Gm gw))", _D4718, False),
    Formula("corrected-optimum", "Optimum of the whole material", "w = (wopt Pf + wc Pc) / 100", _D4718, False),
    Formula("total-water-content", "Water content of the whole", "w = (wf Pf + wc Pc) / 100", _D4718, False),
    Formula(
        "control-fraction-dry-density",
        "Dry density of the control fraction in place",
        "Df = Pf / (100/D - Pc/(Gm gw))",
        _D4718,
    ),
    Formula(
        "control-fraction-water-content",
        "Water content of the control fraction",
        "wf = (100 w - wc Pc) / Pf",
        _D4718,
    ),
    Formula(
        "oversize-from-total",
        "Oversize, percent of dry mass (water content of the whole known)",
        "Pc = 100 [mc / (1 + wc/100)] / [m / (1 + w/100)]",
        _D4718,
    ),
    Formula(
        "oversize-from-control",
        "Oversize, percent of dry mass (water content of the control fraction known)",
        "Pc = 100 mdc / (mdc + (m - mc) / (1 + wf/100)), mdc = mc / (1 + wc/100)",
        _D4718,
    ),
    # ---- zero air voids
    Formula(
        "zero-air-voids",
        "Dry density on the line of given saturation",
        "rho_z = Gs gw / (1 + w Gs / S)",
        "ASTM D698, section on the zero-air-voids curve",
    ),
    Formula("saturation", "Degree of saturation", "S = w / (gw/rho_d - 1/Gs)", _PHASES),
    Formula("air-voids", "Air voids", "Va = 100 (1 - rho_d/gw (1/Gs + w))", _PHASES),
    Formula("void-ratio", "Void ratio", "e = Gs gw / rho_d - 1", _PHASES),
    # ---- moisture-density curve
    Formula("mould-wet-density", "Wet density in the mould", "rho = (m_full - m_mould) / V", "ASTM D698, section 11"),
    # ---- evaluation: rounding, criteria and printed figures
    Formula(
        "water-content-used",
        "Water content that counts: an oven value before a field value, the crew's before the instrument's",
        "w",
        "common practice (no source)",
        from_memory=False,
    ),
    Formula("rounding", "Rounding rule of the specification", "round(x, increment)", "ASTM E29, section 6"),
    Formula(
        "oversize-below-limit",
        "Oversize too little to be corrected for",
        "Pc <= 5 %",
        "ASTM D4718, scope; AASHTO T 99 and T 180, annex on oversize",
    ),
    Formula(
        "specific-gravity-of-whole",
        "Specific gravity of the whole material",
        "Gs = 100 / (Pf/Gf + Pc/Gm)",
        _PHASES,
    ),
    Formula(
        "water-content-deviation",
        "Water content from optimum, positive is wet",
        "dw = w - w_opt",
        "common practice (no source)",
        from_memory=False,
    ),
    Formula(
        "printed-percent",
        "Printed percent compaction against the dry density and maximum",
        "C = 100 rho_d / rho_max",
        "ASTM E29, section 6 (last digit of a printed figure)",
    ),
)

#: step id -> formula. Entries of other rooms are appended to `_ENTRIES`.
FORMULAS: Final[Mapping[str, Formula]] = MappingProxyType({entry.id: entry for entry in _ENTRIES})
