"""What happens to single tests of the demo, by name: where each story is and what to look at.

| story | reach, lift | what happens |
|---|---|---|
| moisture-only-failure | south 2 | dense enough, 3.4 points wet: dried, retested, closed |
| two-failed-attempts | middle 3 | fails, fails again, fails once more, passes on the third retest |
| check-beside | middle 2 | a doubtful reading is repeated two feet away; both stay on record |
| provisional-then-oven | abutment 2 | passes on the gauge's moisture; the oven makes it a failure |
| amended-own-slip | north 3 | left and right exchanged, put right by whoever wrote it |
| exempt-area | south 3 | a look at the bedding of the rock apron, where nothing is required |
| oversize-decides | abutment 4 | 99.8 % of the uncorrected maximum, 24 % oversize: fails after the correction |
| void-two-persons | middle 4 | the gauge's count had failed; one asks, another confirms; the failure is withdrawn |
| void-own-slip | north 4 | entered twice, voided at once by whoever did it |
| late-upload | north 5 | the phone had no reception until the next afternoon |
| revision-fail-to-pass | south 5 | P-101 comes down by 0.9 %: a failure becomes a pass, and is closed by the engineer |
| wrong-proctor | middle 6 | judged by P-101 in the field; the review finds the soil of P-102; it fails |
| accepted-as-is | north 6 | 0.6 short, alone among passes, accepted by the engineer with a reason |
| hold-released | south 7 | fails wet and above zero air voids; the hold is released after a second look |
| untested-area | north 7 | placed from 31+00 to 34+00, nothing tested there |
| buried-failure | middle 8 | fails; the next lift is placed over it |
| retest-before-parent | north 8 | the retest arrives while the failing test waits in a phone without reception |
| removed-and-replaced | south 9 | an organic pocket, dug out |
| gps-disagrees | south 10 | the satellite fix lies a whole station further on |
| revision-pass-to-fail | north 10 | P-102 goes up by 1.0 %: a pass becomes a failure, and lies buried |
| failing-on-hold | north 12 | yesterday: fails wet and above zero air voids, still on hold |
| awaiting-retest | south 12 | failed yesterday, reworked this morning, the retest is still to be made |
| awaiting-closing | south 12 | failed yesterday, passed this morning, the engineer has not closed it yet |
| failed-this-morning | middle 12 | open since an hour, nothing done yet |

The numbers on the sheets are printed by `manage.py load_demo` when it has finished.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Told:
    """One test whose figures are told instead of drawn. Percentages as they will be judged on arrival.

    `retests` are the percentages of its retests in order; empty: as it falls out; None: nobody mends it (yet).
    `mended_from` says when the contractor is told: at once, after the oven's value or the review, the next morning.
    """

    name: str
    percent: float
    deviation: float = 0.2
    retests: tuple[float, ...] | None = ()
    mended_from: str = "arrival"
    rework: str = ""
    oversize_pct: int | None = None
    oven_shift_pct: float = 0.0
    posted_reference: str = ""
    remarks: str = ""


#: (section, lift, which of its tests) -> what is told of it
TOLD: dict[tuple[str, int, int], Told] = {
    ("A", 2, 2): Told("moisture-only-failure", 98.1, deviation=3.4, remarks="Wet from the night's rain."),
    ("B", 3, 2): Told(
        "two-failed-attempts",
        92.1,
        retests=(93.4, 93.9, 97.0),
        remarks="Lift looks thick at the edge of the last pass.",
    ),
    ("B", 2, 4): Told("check-beside", 95.4, remarks="Seat of the plate rocked; repeated beside."),
    ("D", 2, 2): Told("provisional-then-oven", 98.4, deviation=0.0, oven_shift_pct=2.4, mended_from="oven"),
    ("C", 3, 3): Told("amended-own-slip", 97.6),
    ("D", 4, 2): Told("oversize-decides", 93.7, oversize_pct=24, remarks="Stony; screened the soil of the spot."),
    ("B", 4, 3): Told("void-two-persons", 89.7, retests=None),
    ("C", 4, 4): Told("void-own-slip", 98.9),
    ("C", 5, 4): Told("late-upload", 97.3, remarks="No reception in the borrow pit, sent the day after."),
    ("A", 5, 3): Told("revision-fail-to-pass", 94.6, retests=None),
    ("B", 6, 3): Told(
        "wrong-proctor", 92.9, deviation=1.8, posted_reference="P-101", mended_from="review", remarks="Brown, sandy."
    ),
    ("C", 6, 3): Told("accepted-as-is", 94.4, retests=None),
    ("A", 7, 2): Told("hold-released", 96.4, deviation=5.6, remarks="Glistening when the plate was lifted."),
    ("B", 8, 3): Told("buried-failure", 91.8, retests=None),
    ("C", 8, 5): Told("retest-before-parent", 92.6, retests=(97.4,)),
    ("A", 9, 4): Told(
        "removed-and-replaced",
        85.9,
        retests=(98.3,),
        rework="removed",
        remarks="Dark, soft, roots: a pocket of topsoil.",
    ),
    ("A", 10, 4): Told("gps-disagrees", 97.9),
    ("C", 10, 3): Told("revision-pass-to-fail", 95.4, retests=None),
    ("C", 12, 5): Told("failing-on-hold", 96.0, deviation=5.9, retests=None, remarks="Water stands in the scar."),
    ("A", 12, 5): Told("awaiting-retest", 93.2, mended_from="mid-morning"),
    ("A", 12, 7): Told("awaiting-closing", 94.1, retests=(97.8,), mended_from="morning"),
    ("B", 12, 1): Told("failed-this-morning", 92.7, retests=None, remarks="First pass after the roller was moved."),
}
#: stories that are not one test's figures
OTHERS = ("exempt-area", "untested-area")
NAMES = tuple(told.name for told in TOLD.values()) + OTHERS
