"""Every formula that a worksheet may show, by step id: title, formula in symbols, source clause.

The worksheet of a test stores numbers by step id only; wording is looked up here when it is shown, so that a
clearer wording reaches old tests too. The formulas of a test method stand in its module (`Method.formulas`), all others
here. A test fails if a step id is missing.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from compaction.calculations.constant_mass import CHANGE
from compaction.calculations.formula import Formula
from compaction.calculations.hole_sizes import SMALLEST_HOLE
from compaction.calculations.methods import METHODS

_D1556 = "ASTM D1556, section on calculation; AASHTO T 191"
_D6938 = "ASTM D6938, section on calculation; AASHTO T 310"
_D4718 = "ASTM D4718, section on calculation; AASHTO T 99 and T 180, annex on oversize"
_PHASES = "Phase relations; ASTM D7263, section on calculation"

_ENTRIES = (
    # ---- calibration
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
    SMALLEST_HOLE,
    # ---- water content
    Formula(
        "water-content-from-masses",
        "Water content of one can",
        "w = 100 (m_wet - m_dry) / (m_dry - m_can)",
        "ASTM D2216, section 12; AASHTO T 265",
    ),
    CHANGE,
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
    Formula(
        "water-content-ratio",
        "Water content as a percentage of optimum",
        "100 w / w_opt",
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
    Formula(
        "mould-dry-density",
        "Dry density of the specimen",
        "rho_d = rho / (1 + w/100)",
        "ASTM D698, section 11; BS 1377-4, clause 3.3; IS 2720-7",
    ),
    # ---- relative density, rapid method
    Formula(
        "index-density", "Index density of one trial", "rho_i = m / V", "ASTM D4253 and D4254, section on calculation"
    ),
    Formula(
        "relative-density",
        "Relative density from densities",
        "Dr = 100 (d - dmin) dmax / ((dmax - dmin) d)",
        "ASTM D4254, section on calculation",
    ),
    Formula(
        "relative-density-from-void-ratios",
        "Relative density from void ratios",
        "Dr = 100 (emax - e) / (emax - emin)",
        "ASTM D4254, section on calculation",
    ),
    Formula(
        "rapid-converted-wet-density",
        "Wet density at the water content of the fill",
        "rho_c = rho / (1 + z)",
        "ASTM D5080, section on calculation",
    ),
    Formula(
        "rapid-peak",
        "Peak of the parabola through three points",
        "z_m = (z1 + z2)/2 - s / (2 c)",
        "ASTM D5080, section 5.3 and section on calculation",
    ),
    Formula(
        "rapid-percent-compaction",
        "Percent compaction from wet densities",
        "PC = 100 rho_fill / rho_c,max",
        "ASTM D5080, section 5.1.2",
        from_memory=False,
    ),
    Formula(
        "rapid-water-content-deviation",
        "Water content from optimum, positive is wet",
        "dw = -z_m (1 + wf)",
        "ASTM D5080, section 5.1.3 and section on calculation",
    ),
    Formula(
        "rapid-mould-wet-density",
        "Wet density of a rapid specimen",
        "rho = m / V",
        "ASTM D5080, section on calculation",
    ),
    Formula(
        "rapid-printed-deviation",
        "Deviation from optimum, signed as the sheet signs it",
        "dw = +-(w - w_opt)",
        "ASTM D5080 and AS 1289.5.7.1: dry of optimum is positive",
    ),
    Formula(
        "rapid-maximum",
        "Maximum dry density of the fill itself",
        "rho_d,max = rho_c,max / (1 + wf)",
        "ASTM D5080, section on calculation",
    ),
    Formula("rapid-optimum", "Optimum of the fill itself", "w_opt = wf - dw", "ASTM D5080, section on calculation"),
    Formula(
        "one-point-maximum",
        "Maximum of the curve through the one point",
        "the curve between its neighbours in the family that runs through (w1, rho_d1)",
        "AASHTO T 272 (October 2004); AASHTO R 75 (2016, 2020), section 5",
        from_memory=False,
    ),
    Formula(
        "one-point-optimum",
        "Optimum of that curve, on the line between the peaks of its neighbours",
        "80 % <= w1 / w_opt <= 100 %",
        "AASHTO T 272 (October 2004), note 1; AASHTO R 75, section 5",
        from_memory=False,
    ),
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
        "Pc <= Pc,min of the practice",
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

#: step id -> formula: those of the methods and those above.
FORMULAS: Final[Mapping[str, Formula]] = MappingProxyType(
    {entry.id: entry for entries in (*(method.formulas for method in METHODS.values()), _ENTRIES) for entry in entries}
)
