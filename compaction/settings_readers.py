"""Readers of the environment: each accepts the spellings it names and refuses the rest, loudly.

A setting that is misspelt must stop the start, not turn into its default.
"""

import os
import re
import secrets
from collections.abc import Mapping
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

PREFIX = "LIFTLEDGER_"
_TRUE = {"1", "true", "yes", "on"}
_FALSE = {"0", "false", "no", "off"}


class SettingError(ImproperlyConfigured):
    """A variable holds something that it may not hold; the sentence names it, the value and the remedy."""


def text(name: str, default: str = "", *, environ: Mapping[str, str] | None = None) -> str:
    """The variable's text without blanks around it; `default` when it is missing or empty."""
    return _read(name, environ) or default


def boolean(name: str, *, default: bool, environ: Mapping[str, str] | None = None) -> bool:
    """True or false by one of eight accepted spellings; anything else raises `SettingError`."""
    found = _read(name, environ)
    if not found:
        return default
    if found.lower() in _TRUE:
        return True
    if found.lower() in _FALSE:
        return False
    raise SettingError(
        f"{PREFIX}{name} is {found!r}; write one of {', '.join(sorted(_TRUE | _FALSE))}, or leave it out for {default}."
    )


def integer(name: str, *, default: int, lowest: int, highest: int, environ: Mapping[str, str] | None = None) -> int:
    """A whole number between `lowest` and `highest` (both allowed); anything else raises `SettingError`."""
    found = _read(name, environ)
    if not found:
        return default
    if not re.fullmatch(r"[0-9]{1,9}", found, re.ASCII) or not lowest <= int(found) <= highest:
        raise SettingError(f"{PREFIX}{name} is {found!r}; write a whole number from {lowest} to {highest}.")
    return int(found)


def names(name: str, default: tuple[str, ...] = (), *, environ: Mapping[str, str] | None = None) -> list[str]:
    """A list written with commas; blanks around the items and empty items are dropped."""
    found = _read(name, environ)
    return [item.strip() for item in found.split(",") if item.strip()] if found else list(default)


def secret(name: str, default: str = "", *, environ: Mapping[str, str] | None = None) -> str:
    """The variable, or the content of the file that the variable with `_FILE` at its end names.

    Both at once, a file that cannot be read and an empty file raise `SettingError`.
    """
    given, file = _read(name, environ), _read(f"{name}_FILE", environ)
    if given and file:
        raise SettingError(f"{PREFIX}{name} and {PREFIX}{name}_FILE are both set; keep one of them.")
    if not file:
        return given or default
    try:
        content = Path(file).read_text(encoding="utf-8").strip()
    except (OSError, UnicodeDecodeError) as error:
        raise SettingError(f"{PREFIX}{name}_FILE names {file!r}, which cannot be read: {error}.") from error
    if not content:
        raise SettingError(f"{PREFIX}{name}_FILE names {file!r}, which is empty; write the secret into it.")
    return content


def folder(name: str, default: Path, *, environ: Mapping[str, str] | None = None) -> Path:
    """A folder that exists after the call and can be written; made with access for its owner only."""
    path = Path(_read(name, environ) or default).expanduser().resolve()
    try:
        path.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise SettingError(f"{PREFIX}{name}: {path} cannot be made ({error}); name a folder that can.") from error
    if not os.access(path, os.W_OK | os.X_OK):
        raise SettingError(f"{PREFIX}{name}: {path} cannot be written; name a folder that can.")
    return path


def secret_made_once(path: Path) -> str:
    """The secret in `path`, made by the first process that asks; readable by its owner only.

    Written beside and linked into place, so that no process can read half of it and two that start
    together agree on one.
    """
    if not path.exists():
        draft = path.with_name(f".{path.name}.{os.getpid()}")
        draft.touch(mode=0o600)
        draft.write_text(secrets.token_urlsafe(64), encoding="utf-8")
        try:
            os.link(draft, path)
        except FileExistsError:
            pass
        finally:
            draft.unlink()
    content = path.read_text(encoding="utf-8").strip()
    if not content:
        raise SettingError(f"{path} is empty; remove it, or set {PREFIX}SECRET_KEY.")
    return content


def _read(name: str, environ: Mapping[str, str] | None) -> str:
    return (os.environ if environ is None else environ).get(PREFIX + name, "").strip()
