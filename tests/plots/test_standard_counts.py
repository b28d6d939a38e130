"""The drawing of standard counts: what was not accepted stands out by shape and text; same figure, same file."""

from datetime import UTC, date, datetime, timedelta
from xml.etree import ElementTree

from compaction.plots.standard_counts import CountPoint, draw

START = datetime(2026, 6, 1, 13, 10, tzinfo=UTC)


def points(*counts: float, off: tuple[float, ...] = ()) -> list[CountPoint]:
    return [
        CountPoint(
            START + timedelta(days=day),
            count,
            reference=None if day == 0 else 2874,
            low=None if day == 0 else 2845.3,
            high=None if day == 0 else 2902.7,
            accepted=count not in off,
        )
        for day, count in enumerate(counts)
    ]


def texts(drawn: bytes) -> str:
    return " ".join("".join(item.itertext()) for item in ElementTree.fromstring(drawn).iter())


def test_a_rejected_count_has_its_own_mark_and_its_number() -> None:
    drawn = draw(points(2874, 2870, 2961, 2875, off=(2961,)), title="TG-1: density standard counts")
    said = texts(drawn)
    assert "2961 not accepted" in said
    assert "not accepted (1)" in said
    assert "accepted (2)" in said
    assert "accepted, nothing before it (1)" in said
    assert "Not accepted: 2961 on 2026-06-03." in said


def test_decay_is_drawn_among_the_counts_only() -> None:
    near = [(date(2026, 6, 1) + timedelta(days=day), 2880 - day) for day in range(4)]
    far = [(date(2025, 6, 1), 2930.0)]
    assert "brought forward by decay" in texts(draw(points(2874, 2870), decay=near, title="x"))
    assert "brought forward by decay" not in texts(draw(points(2874, 2870), decay=far, title="x"))


def test_without_counts_it_says_so_and_the_same_counts_give_the_same_file() -> None:
    assert "No count is on file yet." in texts(draw([], title="TG-1"))
    assert draw(points(2874, 2870), title="$x$") == draw(points(2874, 2870), title="$x$")
    assert "All accepted." in texts(draw(points(2874), title="x"))
