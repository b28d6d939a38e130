"""`manage.py check_examples`: the table, the exit, and a clear sentence for whatever is wrong with a file."""

import io
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from compaction.examples.table import HEADINGS
from tests.worked_examples.example_files import FOLDER

GOOD = """
topic = "density"

[[example]]
id = "MY-01"
kind = "published"
source = "Author, title, edition, page 12"
obtained = "read"
tolerance_reason = "Half of the last printed digit."

[example.inputs]
wet_density = "121.6 pcf"
water_content = "15.9 %"
maximum_dry_density = "111.3 pcf"

[example.printed]
dry_density = "104.9 pcf"
percent_compaction = "94 %"
"""


def run(folder: Path, *, fails: bool) -> str:
    out = io.StringIO()
    if fails:
        with pytest.raises(CommandError, match="deviates or could not be read"):
            call_command("check_examples", str(folder), stdout=out)
    else:
        call_command("check_examples", str(folder), stdout=out)
    return out.getvalue()


def test_the_shipped_folder_as_an_engineer_runs_it() -> None:
    printed = run(FOLDER, fails=False)
    lines = printed.splitlines()
    assert lines[0].split() == list(HEADINGS)
    assert " 0 deviations, 0 that could not be read." in lines[-1]
    # SC-05: the print is wrong, and why is named
    row = next(line for line in lines if "1.56 g/cm3" in line)
    assert "1.57453 g/cm3" in row
    assert "print is wrong" in row
    assert any("water-content-wet-basis-used-as-dry" in line for line in lines)
    # geometry is among them: the misprinted length of C1
    assert any("693.90 ft" in line and " 639." in line and "print is wrong" in line for line in lines)


def test_a_file_of_ones_own(tmp_path: Path) -> None:
    (tmp_path / "below").mkdir()
    (tmp_path / "below" / "mine.toml").write_text(GOOD)
    printed = run(tmp_path, fails=False)
    assert "104.918 pcf" in printed
    assert "0.05 pcf" in printed
    assert printed.endswith("1 examples, 2 figures, 0 wrong prints found, 0 deviations, 0 that could not be read.\n")


def test_the_example_of_the_readme_is_such_a_file(tmp_path: Path) -> None:
    readme = (FOLDER / "README.md").read_text(encoding="utf-8")
    (tmp_path / "mine.toml").write_text(readme.partition("```toml\n")[2].partition("```")[0])
    run(tmp_path, fails=False)


def test_a_deviation_ends_with_an_error_and_says_by_how_much(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(GOOD.replace("104.9 pcf", "105.9 pcf"))
    printed = run(tmp_path, fails=True)
    row = next(line for line in printed.splitlines() if "105.9 pcf" in line)
    assert "104.918 pcf" in row
    assert "deviates" in row
    assert "1 deviations (MY-01)" in printed


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('topic = "density"', "topic = density", "mine.toml: It is no valid TOML: Invalid value (at line 2, column 9)"),
        ('topic = "density"', 'topic = "densities"', "mine.toml: `densities` is no topic. Use one of sand_cone_sheet"),
        ('topic = "density"', "", "mine.toml: `topic` is missing at the top."),
        ("[[example]]", "[example]", "mine.toml: It has no [[example]]."),
        ('id = "MY-01"\n', "", "number 1: `id`: is missing."),
        ('obtained = "read"', 'obtained = "found"', "line 8, MY-01: `obtained`: 'found' is not known. Use one of read"),
        ('"121.6 pcf"', '"121.6"', "line 12, MY-01: `inputs.wet_density`: '121.6' has no unit."),
        ('"121.6 pcf"', "121.6", "`inputs.wet_density`: 121.6 is not text. Write the figure in quotes"),
        ('"121.6 pcf"', '"121.6 psf"', "line 12, MY-01: `inputs.wet_density`: the unit 'psf' is not known."),
        ('"121.6 pcf"', '"1O1.6 pcf"', "`inputs.wet_density`: '1O1.6 pcf' does not begin with a plain decimal number"),
        ('water_content = "15.9 %"\n', "", "MY-01: `water_content`: is missing. It is needed beside what is given."),
        (
            'dry_density = "104.9',
            'dry_densty = "104.9',
            "line 17, MY-01: `printed.dry_densty`: is nothing",
        ),
        ("[example.inputs]", "colour = 1\n[example.inputs]", "line 11, MY-01: `colour`: is no key of `density`."),
        ("[example.inputs]", "readings = 3\n[example.inputs]", "MY-01: `readings`: "),
        ("[[example]]", "[more]\na = 1\n[[example]]", "mine.toml, line 4: `more` stands outside of the examples."),
        ('kind = "published"', 'kind = "published-with-error"', "line 5, MY-01: `findings`: is empty."),
    ],
)
def test_whatever_is_wrong_is_told_and_the_rest_still_runs(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert GOOD.count(old) >= 1
    (tmp_path / "mine.toml").write_text(GOOD.replace(old, new, 1))
    (tmp_path / "other.toml").write_text(GOOD.replace("MY-01", "MY-02"))
    printed = run(tmp_path, fails=True)
    assert said in printed
    assert "MY-02" in printed
    assert "1 examples, 2 figures" in printed
    assert "Traceback" not in printed


def test_names_that_stand_twice_are_told(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(GOOD)
    (tmp_path / "b.toml").write_text(GOOD)
    assert "b.toml, MY-01: a.toml has an example of that name. Rename one." in run(tmp_path, fails=True)
    (tmp_path / "b.toml").write_text(
        GOOD.replace("MY-01", "MY-02") + GOOD.partition("\n\n")[2].replace("MY-01", "MY-02")
    )
    assert "`id`: MY-02 stands twice." in run(tmp_path, fails=True)


def test_a_file_that_is_no_text_is_told(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_bytes(b"\xff\xfe")
    (tmp_path / "b.toml").write_text(GOOD)
    printed = run(tmp_path, fails=True)
    assert "a.toml: It cannot be read:" in printed
    assert "1 examples, 2 figures" in printed


def test_a_folder_that_is_none_or_holds_nothing(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="is no folder"):
        call_command("check_examples", str(tmp_path / "absent"))
    with pytest.raises(CommandError, match=r"holds no \.toml file"):
        call_command("check_examples", str(tmp_path))
