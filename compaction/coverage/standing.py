"""In which state a group is: open, short, failed or released, with the sentence that says why."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from compaction.coverage.facts import FAILED, OPEN, RELEASED, SHORT, Tested
from compaction.coverage.frequency import Demand, at_least, counts_for, original, passes, tests

ACCEPTANCE = "acceptance"


@dataclass(frozen=True)
class Signed:
    """A signature that stands."""

    person: str
    at: datetime


@dataclass(frozen=True)
class Standing:
    """State, sentence and counts of a group."""

    state: str
    sentence: str
    required: int | None
    made: tuple[Tested, ...]
    passing: int
    failing: int
    short: int
    pending: int
    held: int
    not_tested: str
    exempt: bool
    signature_wanted: bool = False
    signed: Signed | None = None
    notes: tuple[str, ...] = ()


def standing(
    made_here: Sequence[Tested],
    asked: Sequence[Demand],
    *,
    exempt: bool = False,
    not_tested: str = "",
    placed: bool = True,
    signed: Signed | None = None,
    withdrawn: bool = False,
) -> Standing:
    """The state that follows from a group's tests and what is asked of it.

    Failed while a failure is open; released when the tests asked for pass (and somebody signed, where a rule wants
    that); short when tests were made and more are asked for; else open. A quantity that is not known leaves the lift
    open at best: what is known of it can only make it short.
    """
    made = tuple(one for one in made_here if _counts(asked, one))
    failing = [one for one in made_here if uncovers(one)]
    required, known = _required(asked, exempt=exempt)
    short = 0 if exempt else at_least((one.rule.methods, _lacking(one, made)) for one in asked)
    stands = Standing(
        state=OPEN,
        sentence="",
        required=required,
        made=made,
        passing=sum(passes(one) for one in made),
        failing=len(failing),
        short=short,
        pending=sum(_pending(one) for one in made),
        held=sum(one.held and not one.voided for one in made_here),
        not_tested=not_tested,
        exempt=exempt,
        signed=signed,
        notes=tuple(one.note for one in asked if one.note),
    )
    state, sentence, wanted = _state(stands, asked, known, failing, placed, withdrawn)
    return Standing(**{**stands.__dict__, "state": state, "sentence": sentence, "signature_wanted": wanted})


def uncovers(test: Tested) -> bool:
    """A failing test whose failure is open, or whose failure nobody has settled yet."""
    if test.voided:
        return False
    return test.failure_open or (test.original and test.result == "fail" and not test.failure_state)


def _pending(test: Tested) -> bool:
    return test.result == "pending"


def _counts(asked: Sequence[Demand], test: Tested) -> bool:
    if asked:
        return any(counts_for(one.rule, test) for one in asked)
    return original(test) and test.purpose == ACCEPTANCE


def _required(asked: Sequence[Demand], *, exempt: bool) -> tuple[int | None, int]:
    """What is asked for in all (None: not known, or no rule), and what is known of it."""
    if exempt:
        return 0, 0
    known = at_least((one.rule.methods, one.at_least) for one in asked)
    if not asked or any(one.required is None for one in asked):
        return None, known
    return known, known


def _lacking(demand: Demand, made: Sequence[Tested]) -> int:
    good = sum(passes(one) and counts_for(demand.rule, one) for one in made)
    return max(0, demand.at_least - good)


def _state(
    stands: Standing,
    asked: Sequence[Demand],
    known: int,
    failing: Sequence[Tested],
    placed: bool,
    withdrawn: bool,
) -> tuple[str, str, bool]:
    if failing:
        named = ", ".join(one.label or one.uuid[:8] for one in failing[:3])
        more = f" and {len(failing) - 3} more" if len(failing) > 3 else ""
        return FAILED, f"The failure of test {named}{more} is open.", False
    if stands.exempt:
        return RELEASED, "No density is required here; the area is exempt.", False
    if stands.signed:
        day = stands.signed.at.date()
        return RELEASED, f"Released by {stands.signed.person} on {day}.", False
    lost = " A release was withdrawn because figures moved." if withdrawn else ""
    if stands.short:
        state = SHORT if stands.made else OPEN
        return state, f"{_missing(stands, known)}{lost}", False
    if not asked:
        why = "no frequency rule holds here" if placed else "no placement is on record, so quantities are not known"
        return OPEN, f"{_pass(stands)}; {why}.{lost}", False
    if stands.required is None:
        return OPEN, f"{_pass(stands)}; {_unknown(asked)}{lost}", False
    if stands.not_tested:
        return OPEN, f"Not tested: {stands.not_tested}.{lost}", True
    if any(one.rule.signed_release for one in asked):
        return OPEN, f"{_enough(stands)}; the release is to be signed.{lost}", True
    return RELEASED, f"{_enough(stands)}." + (f" {stands.notes[0]}" if stands.notes else ""), False


def _missing(stands: Standing, known: int) -> str:
    least = "" if stands.required is not None else "at least "
    said = f"{least}{tests(known)} required, {len(stands.made)} made, {_of_those(stands)}; {stands.short} more needed"
    because = f". Not tested: {stands.not_tested}" if stands.not_tested else ""
    note = f" {stands.notes[0]}" if stands.notes else ""
    return f"{said[0].upper()}{said[1:]}{because}.{note}"


def _of_those(stands: Standing) -> str:
    parts = [f"{stands.passing} passing"]
    if stands.pending:
        parts.append(f"{stands.pending} waiting for the oven")
    if stands.held:
        parts.append(f"{stands.held} on hold")
    return ", ".join(parts)


def _pass(stands: Standing) -> str:
    return "No test passes yet" if not stands.passing else f"{tests(stands.passing)} {_verb(stands.passing)}"


def _verb(number: int) -> str:
    return "passes" if number == 1 else "pass"


def _enough(stands: Standing) -> str:
    if not stands.required:
        return "No test is asked for here"
    return f"{tests(stands.required)} required, {stands.passing} {_verb(stands.passing)}"


def _unknown(asked: Sequence[Demand]) -> str:
    counts = [count for one in asked if one.required is None for count in one.counts]
    missing = next((count for count in counts if count.quantity is None), counts[0] if counts else None)
    return missing.sentence if missing else "a quantity is not known."


# ---- as it was -----------------------------------------------------------------------------------
def was_released(made_here: Sequence[Tested], asked: Sequence[Demand], now: Standing | None, moment: datetime) -> bool:
    """Whether a group was released by a moment, as far as is known today of the tests made and failures ended by then.

    Where no rule holds, fill over it is only spoken of while a failure was open.
    """
    if now is None:
        return True
    then = [one for one in made_here if one.performed_at <= moment]
    if any(_open_then(one, moment) for one in then):
        return False
    if now.exempt or not asked:
        return True
    if now.signed:
        return now.signed.at <= moment
    if now.signature_wanted or any(one.rule.signed_release for one in asked):
        return False
    done = [one for one in then if _counts(asked, one)]
    return now.required is not None and not any(_lacking(one, done) for one in asked)


def _open_then(test: Tested, moment: datetime) -> bool:
    if test.voided or test.result != "fail" or not (test.original or test.failure_open):
        return False
    if uncovers(test):
        return True
    return test.failure_ended_at is None or test.failure_ended_at > moment
