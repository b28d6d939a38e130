"""A topic: what an example of it may state, what is worked from it, and by which function."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from compaction.examples.check import Check

Example = Mapping[str, Any]
Run = Callable[[Example, Check], None]


@dataclass(frozen=True)
class Topic:
    """One topic. `keys` stand in the example itself, `inputs` under `[example.inputs]`, `figures` are worked.

    Each is a name with its meaning, as the folder's README prints it; "..." as a name of `figures` means that the names
    come from the example.
    """

    code: str
    title: str
    run: Run
    keys: Mapping[str, str] = field(default_factory=dict)
    inputs: Mapping[str, str] = field(default_factory=dict)
    figures: Mapping[str, str] = field(default_factory=dict)
    needs: tuple[str, ...] = ()
