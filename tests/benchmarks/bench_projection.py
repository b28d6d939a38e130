"""How fast and how exact points become station and offset. Run: python -m tests.benchmarks.bench_projection

25 x (line, clothoid, arc, clothoid), radii 250 to 1,200 m, at state-plane coordinates; truth by forward
evaluation. Then the same points scattered over the bounding box, and beside it shapely's linear referencing on the
same line drawn as chords that stray 1 mm at most.
"""

import math
import time

import numpy as np
import shapely

from projects.geometry.alignment import Alignment
from projects.geometry.drawing import stations_for_drawing
from projects.geometry.projection import project
from projects.geometry.projection_many import Projector
from tests.geometry.lines import alignment, joined

POINTS = 1_000_000
OFFSET_M = 60.0
CHORD_POINTS = 20_000
SAGITTA_M = 0.001


def winding_road() -> Alignment:
    rng = np.random.default_rng(20)
    pieces: list[tuple[float, float, float]] = []
    for number in range(25):
        k = (1 if number % 2 else -1) / float(rng.uniform(250, 1200))
        pieces += [(0.0, 0.0, float(rng.uniform(100, 400))), (0.0, k, 80.0)]
        pieces += [(k, k, float(rng.uniform(100, 250))), (k, 0.0, 80.0)]
    return alignment(joined(pieces, start=(700_000.0, 4_100_000.0, 0.3)))


def main() -> None:
    line = winding_road()
    rng = np.random.default_rng(21)
    stations = rng.uniform(line.start_station_m, line.end_station_m, POINTS)
    offsets = rng.uniform(-OFFSET_M, OFFSET_M, POINTS)
    began = time.perf_counter()
    eastings, northings = line.points(stations_m=stations, offsets_m=offsets)
    print(f"{len(line.elements)} elements, {line.length_m:,.0f} m")
    print(f"forward            {POINTS / (time.perf_counter() - began) / 1e6:6.2f} million points/s")
    projector = Projector(line)
    for run in ("first", "second", "third"):
        began = time.perf_counter()
        found = projector.project(eastings_m=eastings, northings_m=northings)
        print(f"inverse, {run:<9} {POINTS / (time.perf_counter() - began) / 1e6:6.2f} million points/s")
    print(f"station error      {np.abs(found.station_m - stations).max():.1e} m at most")
    print(f"offset error       {np.abs(found.offset_m - offsets).max():.1e} m at most")
    far_e = rng.uniform(eastings.min() - 500, eastings.max() + 500, POINTS)
    far_n = rng.uniform(northings.min() - 500, northings.max() + 500, POINTS)
    began = time.perf_counter()
    projector.project(eastings_m=far_e, northings_m=far_n)
    print(f"scattered          {POINTS / (time.perf_counter() - began) / 1e6:6.2f} million points/s")
    count, worst, total = 500, 0.0, 0.0
    for i in range(count):
        began = time.perf_counter()
        project(line, easting_m=float(eastings[i]), northing_m=float(northings[i]))
        spent = time.perf_counter() - began
        total += spent
        worst = max(worst, spent if i else -math.inf)
    print(f"one point          {total / count * 1000:6.2f} ms on average, {worst * 1000:.2f} ms at most")
    beside_shapely(line, eastings, northings, stations)


def beside_shapely(line: Alignment, eastings, northings, stations) -> None:
    """The first points once more, by both, and how far each is from the truth."""
    marks = stations_for_drawing(line, sagitta_m=SAGITTA_M)
    chords = shapely.LineString(np.column_stack(line.points(stations_m=marks, offsets_m=np.zeros_like(marks))))
    shapely.prepare(chords)
    some = slice(0, CHORD_POINTS)
    points = shapely.points(eastings[some], northings[some])
    began = time.perf_counter()
    theirs = shapely.line_locate_point(chords, points) * (line.length_m / chords.length) + line.start_station_m
    chord_rate = CHORD_POINTS / (time.perf_counter() - began)
    projector = Projector(line)
    projector.project(eastings_m=eastings[some], northings_m=northings[some])
    began = time.perf_counter()
    ours = projector.project(eastings_m=eastings[some], northings_m=northings[some]).station_m
    rate = CHORD_POINTS / (time.perf_counter() - began)
    print(f"shapely, {marks.size:,} vertices: {chord_rate:,.0f} points/s, station wrong by "
          f"{np.abs(theirs - stations[some]).max():.3f} m at most")  # fmt: skip
    print(f"ours, the same points: {rate:,.0f} points/s ({rate / chord_rate:.0f} times), station wrong by "
          f"{np.abs(ours - stations[some]).max():.1e} m at most")  # fmt: skip


if __name__ == "__main__":
    main()
