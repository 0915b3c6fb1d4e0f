"""The manifest of a pass: the plan and what was measured, as types; `manifest_file` reads and writes it."""

from __future__ import annotations

import platform
import socket
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import cached_property
from importlib import metadata
from typing import TYPE_CHECKING, Literal, Protocol

from stemwright import native
from stemwright.plan.written import plan_sha256

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.passes.entry import Entry
    from stemwright.passes.in_sum import InSum
    from stemwright.plain import Plain
    from stemwright.plan.items import PlanItem
    from stemwright.recipes.recipe import Source

LIBRARIES = ("stemwright", "numpy", "scipy", "soundfile", "soxr", "pedalboard")


@dataclass(frozen=True, kw_only=True)
class Because:
    """How a pass came to be; ``came_from`` is the pass it started at."""

    kind: Literal["prep", "note", "recall"]
    text: str | None = None
    by: str | None = None
    came_from: str | None = None


@dataclass(frozen=True, kw_only=True)
class MadeAt:
    """When, in UTC as ISO 8601, and on which machine; outside everything that is hashed."""

    time: str
    host: str


class HasSources(Protocol):
    """A recipe, or what an earlier manifest recorded of recipes: texts to write down."""

    @property
    def sources(self) -> tuple[Source, ...]:
        """The texts."""


@dataclass(frozen=True, kw_only=True)
class Manifest:
    """A manifest.

    ``made_by`` are the versions that decide what the samples are, ``recipes`` the full texts used. ``plan_intact`` is
    whether ``plan_sha256`` is the hash of the plan beside it, as it was when the pass was made. ``in_sum`` is what was
    measured on the sum of the stems, None where it could not be, and in passes from before it was.
    """

    name: str
    song: str
    because: Because
    made_by: dict[str, str]
    made_at: MadeAt
    recipes: tuple[Source, ...]
    plan_sha256: str
    stems: tuple[Entry, ...]
    in_sum: InSum | None = None
    plan_intact: bool = field(default=True, compare=False)

    @cached_property
    def entries(self) -> dict[str, Entry]:
        """The stems' entries by stem."""
        return {entry.stem: entry for entry in self.stems}

    @property
    def written(self) -> dict[str, Entry]:
        """Those with a file in the pass, by stem."""
        return {entry.stem: entry for entry in self.stems if entry.output is not None}

    @property
    def version(self) -> str:
        """The stemwright that made it; ``?`` where its file does not say, as one edited by hand may not."""
        return self.made_by.get("stemwright", "?")

    def items(self) -> list[PlanItem]:
        """Return the plan."""
        return [entry.item for entry in self.stems]

    def as_json(self) -> Plain:
        """Return the manifest as its file has it."""
        from stemwright.passes.manifest_file import manifest_as_json  # noqa: PLC0415 - it knows these types

        return manifest_as_json(self)


def compose(  # noqa: PLR0913 - a manifest is made of them
    *,
    name: str,
    song: str,
    because: Because,
    recipes: Iterable[HasSources],
    entries: Iterable[Entry],
    in_sum: InSum | None = None,
) -> Manifest:
    """Put a manifest together.

    Parameters
    ----------
    name : str
        The pass's name.
    song : str
        The song's name.
    because : Because
        How the pass came to be.
    recipes : iterable of Recipe
        Those used; their parents are added.
    entries : iterable of Entry
        One for every stem.
    in_sum : InSum, optional
        What was measured on their sum.

    Returns
    -------
    Manifest
    """
    stems = tuple(sorted(entries, key=lambda entry: entry.stem))
    texts = {(source.name, source.sha256): source for recipe in recipes for source in recipe.sources}
    return Manifest(
        name=name,
        song=song,
        because=because,
        made_by=made_by(),
        made_at=MadeAt(time=datetime.now(UTC).isoformat(timespec="seconds"), host=socket.gethostname()),
        recipes=tuple(texts[key] for key in sorted(texts)),
        plan_sha256=plan_sha256(entry.item for entry in stems),
        stems=stems,
        in_sum=in_sum,
    )


def made_by() -> dict[str, str]:
    """Return the versions that decide what the samples are."""
    # Imported here: the manifest is the only place that asks for libsndfile's version.
    from stemwright.stems.encoding import libsndfile_version  # noqa: PLC0415

    versions = {library: metadata.version(library) for library in LIBRARIES}
    return {
        **versions,
        "libsndfile": libsndfile_version(),
        "kernels": native.NAME,
        "python": platform.python_version(),
        "platform": f"{platform.system()} {platform.machine()}",
    }
