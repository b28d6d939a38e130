"""Settings: accepted spellings, refused ones, secrets from files."""

import os
import stat
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from compaction import settings_readers as read
from compaction.settings import database


@pytest.mark.parametrize(
    ("written", "meant"),
    [("1", True), ("Yes", True), ("on", True), ("TRUE", True), ("0", False), ("no", False), ("off", False), ("", True)],
)
def test_boolean_accepts_its_spellings(written: str, meant: bool) -> None:
    assert read.boolean("X", default=True, environ={"LIFTLEDGER_X": written}) is meant


@pytest.mark.parametrize("written", ["2", "y", "enabled", "None", "false!"])
def test_boolean_refuses_the_rest_and_says_what_to_write(written: str) -> None:
    with pytest.raises(read.SettingError, match=r"LIFTLEDGER_X is '.+'; write one of 0, 1, false, no"):
        read.boolean("X", default=True, environ={"LIFTLEDGER_X": written})


@pytest.mark.parametrize("written", ["0", "101", "-1", "1.5", "1e1", "١٢", "9" * 40])
def test_integer_refuses_what_is_not_a_plain_number_in_range(written: str) -> None:
    with pytest.raises(read.SettingError, match="whole number from 1 to 100"):
        read.integer("X", default=5, lowest=1, highest=100, environ={"LIFTLEDGER_X": written})


def test_integer_takes_both_ends_and_the_default() -> None:
    for written, meant in [("1", 1), ("100", 100), ("", 5), (" 7 ", 7)]:
        assert read.integer("X", default=5, lowest=1, highest=100, environ={"LIFTLEDGER_X": written}) == meant


def test_names_are_split_at_commas() -> None:
    assert read.names("X", environ={"LIFTLEDGER_X": " a.example , b.example,"}) == ["a.example", "b.example"]
    assert read.names("X", ("d",), environ={}) == ["d"]


def test_secret_comes_from_the_variable_or_its_file(tmp_path: Path) -> None:
    file = tmp_path / "secret"
    file.write_text("from file\n", encoding="utf-8")
    assert read.secret("X", environ={"LIFTLEDGER_X": "plain"}) == "plain"
    assert read.secret("X", environ={"LIFTLEDGER_X_FILE": str(file)}) == "from file"
    assert read.secret("X", "default", environ={}) == "default"


def test_secret_refuses_both_a_missing_file_and_an_empty_one(tmp_path: Path) -> None:
    empty = tmp_path / "empty"
    empty.touch()
    with pytest.raises(read.SettingError, match="both set; keep one"):
        read.secret("X", environ={"LIFTLEDGER_X": "a", "LIFTLEDGER_X_FILE": str(empty)})
    with pytest.raises(read.SettingError, match="is empty; write the secret into it"):
        read.secret("X", environ={"LIFTLEDGER_X_FILE": str(empty)})
    with pytest.raises(read.SettingError, match="which cannot be read"):
        read.secret("X", environ={"LIFTLEDGER_X_FILE": str(tmp_path / "absent")})


def test_the_secret_is_made_once_even_by_many_at_a_time(tmp_path: Path) -> None:
    file = tmp_path / "secret_key"
    script = f"from compaction.settings_readers import *; print(secret_made_once(Path({str(file)!r})))"

    def process(_number: int) -> str:
        return subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True).stdout.strip()

    with ThreadPoolExecutor(4) as pool:
        seen = set(pool.map(process, range(6)))
    assert seen == {file.read_text(encoding="utf-8")}
    assert len(seen.pop()) >= 64
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert os.listdir(tmp_path) == ["secret_key"], "no draft is left behind"  # noqa: PTH208


def test_data_folder_is_made_for_its_owner_only(tmp_path: Path) -> None:
    made = read.folder("X", tmp_path / "a" / "b", environ={})
    assert stat.S_IMODE(made.stat().st_mode) == 0o700
    (tmp_path / "file").touch()
    with pytest.raises(read.SettingError, match="cannot be made"):
        read.folder("X", tmp_path / "file" / "below", environ={})


def test_sqlite_gets_immediate_transactions_and_other_databases_are_refused() -> None:
    assert database("sqlite:////srv/x.sqlite3")["OPTIONS"]["transaction_mode"] == "IMMEDIATE"
    assert "lock_timeout" in database("postgres://u@127.0.0.1:5432/d")["OPTIONS"]["options"]
    with pytest.raises(read.SettingError, match="use sqlite or postgres"):
        database("mysql://u@127.0.0.1/d")
