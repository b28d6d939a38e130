"""Sizes, names, hosts and words of the files themselves."""

import re
import statistics
import tomllib
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]
ROOMS = ("compaction", "projects", "api")
LARGEST = 400
DRAWERS = {"utils", "util", "helpers", "helper", "common", "core", "misc", "base", "extras"}
LOCAL_OR_NAMESPACE = (
    "http://127.0.0.1",
    "http://localhost",
    "http://www.w3.org/",
    "https://www.w3.org/",
    "http://testserver",
)


def sources() -> list[Path]:
    found = [file for room in ROOMS for file in (PROJECT / room).rglob("*.py")]
    return [file for file in found if "migrations" not in file.parts and "__pycache__" not in file.parts]


def written_files() -> list[Path]:
    """Every text file that is ours."""
    folders = [*ROOMS, "tests", "templates", "fixtures", ".ci"]
    found = [file for folder in folders for file in (PROJECT / folder).rglob("*")]
    found += [PROJECT / name for name in ("README.md", "DEVELOPERS.md", "pyproject.toml", "manage.py", ".gitignore")]
    kinds = {
        ".py",
        ".html",
        ".js",
        ".css",
        ".md",
        ".toml",
        ".txt",
        ".json",
        ".yaml",
        ".yml",
        ".csv",
        ".svg",
        "",
        ".xml",
    }
    return [file for file in found if file.is_file() and file.suffix in kinds and "__pycache__" not in file.parts]


def lines_of(file: Path) -> int:
    return len(file.read_text(encoding="utf-8").splitlines())


def test_modules_can_be_held_in_mind() -> None:
    sizes = {str(file.relative_to(PROJECT)): lines_of(file) for file in sources()}
    assert {name: size for name, size in sizes.items() if size > LARGEST} == {}
    assert statistics.median(size for size in sizes.values() if size) < 120


def test_no_drawer_without_an_owner() -> None:
    named = [str(file.relative_to(PROJECT)) for file in sources() if DRAWERS & {file.stem, file.parent.name}]
    assert named == []


def test_pages_load_nothing_from_another_host() -> None:
    found = []
    for file in written_files():
        if file.suffix in {".html", ".js", ".css"} and "tests" not in file.parts:
            text = file.read_text(encoding="utf-8")
            for address in re.findall(r"(?:https?:)?//[a-zA-Z0-9][\w.:-]*\.[a-z]{2,}[^\s\"')]*", text):
                if not address.startswith(LOCAL_OR_NAMESPACE):
                    found.append(f"{file.relative_to(PROJECT)}: {address}")
    assert found == []


def test_files_name_no_package_index_and_no_folder_of_a_machine() -> None:
    # Put together here, so that this file does not find itself.
    words = [
        "/" + "work/",
        "/" + "root/",
        "/" + "home/",
        "py" + "pi.org",
        "python" + "hosted",
        "--extra-" + "index",
        "--index-" + "url",
    ]
    found = [
        f"{file.relative_to(PROJECT)}: {word}"
        for file in written_files()
        for word in words
        if word in file.read_text(encoding="utf-8")
    ]
    assert found == []


def test_only_jobs_speaks_to_the_queue() -> None:
    pattern = re.compile(r"\.(delay|delay_on_commit|apply_async|send_task)\(")
    callers = [str(file.relative_to(PROJECT)) for file in sources() if pattern.search(file.read_text(encoding="utf-8"))]
    assert callers == ["compaction/jobs.py"]


def test_constraints_are_names_and_versions_and_cover_what_we_ask_for() -> None:
    lines = (PROJECT / ".ci" / "constraints.txt").read_text(encoding="utf-8").split("\n")
    assert lines[-1] == ""
    assert [line for line in lines[:-1] if not re.fullmatch(r"[A-Za-z0-9._-]+==[0-9][A-Za-z0-9.+]*", line)] == []
    pinned = {re.sub(r"[-_.]+", "-", line.partition("==")[0]).lower() for line in lines if line}
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [*project["dependencies"], *(item for extra in project["optional-dependencies"].values() for item in extra)]
    names = {re.sub(r"[-_.]+", "-", re.split(r"[\[<>=!~ ;]", item)[0]).lower() for item in asked}
    assert names - pinned == set()


def test_every_library_that_is_asked_for_is_imported() -> None:
    """A dependency that nobody uses any more goes. Those that are used without an import are named here."""
    without_import = {
        "argon2-cffi": "password hasher, named in settings",
        "django-js-lib-leaflet": "static files",
        "drf-spectacular-sidecar": "static files of the API pages",
        "psycopg": "driver of PostgreSQL",
        "whitenoise": "middleware, named in settings",
        "redis": "kombu's client; pinned below the version that kombu does not take",
    }
    modules = {
        "django": "django",
        "djangorestframework": "rest_framework",
        "drf-spectacular": "drf_spectacular",
        "dj-database-url": "dj_database_url",
    }
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    names = [re.split(r"[\[<>=!~ ;]", item)[0] for item in project["dependencies"]]
    text = "\n".join(file.read_text(encoding="utf-8") for file in sources())
    idle = [
        name
        for name in names
        if name not in without_import
        and not re.search(rf"^\s*(from|import) {modules.get(name, name)}\b", text, re.MULTILINE)
    ]
    assert idle == []
