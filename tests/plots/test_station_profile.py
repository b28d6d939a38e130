"""The profile under the map: what it says in words is what was given to it."""

import re

from compaction.plots.station_profile import Band, Spot, draw


def drawn(**more):
    given = {
        "lines": [("finished grade", [(300.0, 30.0), (600.0, 33.0)]), ("subgrade", []), ("original ground", [])],
        "bands": [Band(1, 300, 450, 28.5, 0.2), Band(2, 300, 450, 28.7, None)],
        "spots": [Spot(310, 28.5, "pass", "101"), Spot(320, 28.7, "fail", "102")],
        "title": "Dike: all lifts",
        "station_text": lambda station_m: f"{station_m:.0f}",
        "unit": "m",
        "unit_m": 1.0,
        "datum": "site datum",
        **more,
    }
    return draw(**given).decode()


def test_it_says_what_it_shows():
    text = drawn(without_height=3)
    assert "2 tests: 1 passes, 1 fails. Fill placed in lifts 1 to 2." in text
    assert "3 tests here have no elevation" in text
    assert ">Elevation, m (site datum)<" in text
    assert ">finished grade<" in text
    assert ">subgrade<" not in text


def test_stations_are_round_in_the_unit_of_the_alignment():
    text = drawn(unit="ft", unit_m=0.3048, station_text=lambda station_m: f"@{station_m / 0.3048:.2f}@")
    ticks = [float(found) for found in re.findall(r"@([0-9.]+)@", text)]
    assert len(ticks) >= 4
    assert all(tick % 50 == 0 for tick in ticks)


def test_how_much_larger_heights_are_drawn_is_said_and_is_so():
    text = drawn(station_text=lambda station_m: f"@{station_m:.3f}@")

    def ticks(axis, at, label):
        parts = re.findall(rf'id="{axis}tick_\d+">(.*?</text>)', text, re.DOTALL)
        places = [float(re.search(rf'<use[^>]* {at}="([0-9.]+)"', part)[1]) for part in parts]
        return list(zip([float(re.search(label, part)[1]) for part in parts], places, strict=True))

    (x_0, left), *_, (x_1, right) = ticks("x", "x", "@([0-9.]+)@")
    (y_0, low), *_, (y_1, high) = ticks("y", "y", r">([0-9.]+)</text>")
    times = ((low - high) / (y_1 - y_0)) / ((right - left) / (x_1 - x_0))
    said = re.search(r"heights drawn ([0-9.]+) times as large as lengths", text)[1]
    assert abs(float(said) / times - 1) < 0.06  # two figures
    alike = [("finished grade", [(300.0, 0.0), (300.5, 900.0)])]
    assert float(re.search(r"heights drawn ([0-9.]+) times", drawn(lines=alike, bands=[], spots=[]))[1]) < 1


def test_nothing_to_show_is_said():
    assert "No test here has an elevation yet." in drawn(lines=[], bands=[], spots=[])


def test_thousands_of_tests_stay_small():
    many = [Spot(300 + number % 300, 28 + number % 7 / 10, "pass", str(number)) for number in range(5000)]
    assert len(drawn(spots=many)) < 400_000
