"""The log of a gauge's standard counts: each judged in turn against those accepted before it, or the certificate."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Final

from compaction.calculations.errors import OutsideValidity
from compaction.calculations.standard_counts import (
    ALLOWED_CHANGE_PCT,
    AMERICIUM_241_HALF_LIFE_YEARS,
    CAESIUM_137_HALF_LIFE_YEARS,
    decayed_count,
)

ROLLING_MEAN, CERTIFICATE = "rolling_mean", "certificate"
COMPARED_WITH: Final = (ROLLING_MEAN, CERTIFICATE)
KINDS: Final = ("density", "moisture")
HALF_LIVES_YEARS: Final = {"density": CAESIUM_137_HALF_LIFE_YEARS, "moisture": AMERICIUM_241_HALF_LIFE_YEARS}
SOURCE: Final = "ASTM D6938 and AASHTO T 310, sections on standardisation (from memory)"


@dataclass(frozen=True)
class CountRule:
    """How the counts of a gauge are judged. The defaults are ASTM D6938's (from memory), one count a day."""

    compare_with: str = ROLLING_MEAN
    allowed_pct: dict[str, Decimal] = field(default_factory=lambda: dict(ALLOWED_CHANGE_PCT))
    window: int = 4
    interval_days: int = 1
    certificate_on: date | None = None
    certificate: dict[str, int] = field(default_factory=dict)  # kind -> count
    source: str = SOURCE


DEFAULT_RULE: Final = CountRule()


@dataclass(frozen=True)
class Count:
    """A standard count as taken: one or several counts of each kind, and the rule in force for it."""

    taken_at: datetime
    density_counts: tuple[int, ...]
    moisture_counts: tuple[int, ...]
    rule: CountRule = DEFAULT_RULE

    def mean(self, kind: str) -> Decimal | None:
        """The mean of the counts of a kind; None if none was taken."""
        counts = self.density_counts if kind == "density" else self.moisture_counts
        return Decimal(sum(counts)) / len(counts) if counts else None


@dataclass(frozen=True)
class KindVerdict:
    """One kind of a count against its reference. No reference: nothing to compare with yet."""

    kind: str
    count: Decimal
    reference: Decimal | None
    allowed_pct: Decimal
    sentence: str

    @property
    def change_pct(self) -> Decimal | None:
        """How far the count lies from the reference, percent of the reference."""
        return None if self.reference is None else 100 * (self.count - self.reference) / self.reference

    @property
    def accepted(self) -> bool:
        """Within the limit, both ends allowed; the first count of all is accepted."""
        return self.change_pct is None or abs(self.change_pct) <= self.allowed_pct


@dataclass(frozen=True)
class JudgedCount:
    """A count with its verdict for each kind; it is accepted if both are."""

    count: Count
    kinds: tuple[KindVerdict, ...]

    @property
    def accepted(self) -> bool:
        """Whether the gauge may be used on it."""
        return all(kind.accepted for kind in self.kinds)

    @property
    def sentence(self) -> str:
        """Why, in words."""
        told = " ".join(kind.sentence for kind in self.kinds)
        if self.accepted:
            return f"Accepted. {told}"
        return f"Not accepted. {told} Repeat the count away from other sources; off again, do not use the gauge."


def judge(counts: Sequence[Count]) -> list[JudgedCount]:
    """Each count in order of time against the mean of up to `window` accepted ones before it, or the certificate.

    Rejected counts enter no mean. A newer certificate starts a new series: the mean does not reach back beyond its
    day. Without accepted counts the certificate serves, without one the first count is accepted. Raises
    `OutsideValidity` for counts out of order. Source: ASTM D6938 and AASHTO T 310, sections on standardisation, mean of
    the last four within 1 % (density) and 2 % (moisture), from memory; the certificate's count is brought forward by
    decay, because caesium 137 loses 2.3 % a year and a good gauge would fail 1 % after some 160 days.

    >>> from datetime import datetime, timedelta, UTC
    >>> start = datetime(2026, 6, 1, 13, tzinfo=UTC)
    >>> log = [Count(start + timedelta(days=day), (count,), ()) for day, count in enumerate((2870, 2880, 2920, 2874))]
    >>> [one.accepted for one in judge(log)]
    [True, True, False, True]
    """
    accepted: list[Count] = []
    found: list[JudgedCount] = []
    previous: Count | None = None
    for count in counts:
        if previous is not None and count.taken_at < previous.taken_at:
            raise OutsideValidity("counts-out-of-order", "Standard counts are judged in the order of time.")
        previous = count
        kinds = tuple(
            _one(count, kind=kind, mean=mean, accepted=accepted)
            for kind in KINDS
            if (mean := count.mean(kind)) is not None
        )
        one = JudgedCount(count, kinds)
        found.append(one)
        if one.accepted:
            accepted.append(count)
    return found


def certificate_count(rule: CountRule, *, kind: str, day: date) -> Decimal | None:
    """The certificate's count of a kind brought forward by decay to a day; None without one, or before its day.

    Validity: days from that of the certificate on. Source: law of radioactive decay with the half-lives of caesium 137
    (density) and americium 241 (moisture).

    >>> rule = CountRule(certificate_on=date(2025, 6, 3), certificate={"density": 2874})
    >>> round(certificate_count(rule, kind="density", day=date(2026, 6, 3)), 1)
    Decimal('2808.8')
    """
    if rule.certificate_on is None or kind not in rule.certificate or day < rule.certificate_on:
        return None
    return decayed_count(
        count=Decimal(rule.certificate[kind]),
        days=(day - rule.certificate_on).days,
        half_life_years=HALF_LIVES_YEARS[kind],
    )


def _one(count: Count, *, kind: str, mean: Decimal, accepted: list[Count]) -> KindVerdict:
    rule = count.rule
    since = rule.certificate_on
    earlier: list[Decimal] = []
    for other in reversed(accepted):
        if len(earlier) == rule.window or (since is not None and other.taken_at.date() < since):
            break
        if (value := other.mean(kind)) is not None:
            earlier.append(value)
    certified = certificate_count(rule, kind=kind, day=count.taken_at.date())
    reference, words = certified, f"the certificate's count of {since} brought forward by decay"
    if earlier and (rule.compare_with == ROLLING_MEAN or certified is None):
        reference = sum(earlier, Decimal(0)) / len(earlier)
        words = f"the mean of the {len(earlier)} accepted before it" if len(earlier) > 1 else "the one accepted before"
    allowed = rule.allowed_pct[kind]
    if reference is None:
        return KindVerdict(
            kind, mean, None, allowed, f"{kind.capitalize()} {mean:.0f}: the first on file, nothing to compare with."
        )
    change = 100 * (mean - reference) / reference
    return KindVerdict(
        kind,
        mean,
        reference,
        allowed,
        f"{kind.capitalize()} {mean:.0f} is {change:+.2f} % from {words} ({reference:.0f}); {allowed} % is allowed.",
    )
