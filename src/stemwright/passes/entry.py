"""Entry: one stem of a pass, its part of the plan and what was measured when it was made."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.dsp.loudness import Levels  # noqa: TC001 - the reader looks the types of fields up

if TYPE_CHECKING:
    from stemwright.plain import Plain
    from stemwright.plan.items import PlanItem


@dataclass(frozen=True, kw_only=True)
class Output:
    """The file written: ``samples_sha256`` is of the interleaved samples, int32 or as stored for float; None for a copy."""

    path: str
    container: str
    subtype: str
    sha256: str
    samples_sha256: str | None


@dataclass(frozen=True, kw_only=True)
class LevelPair:
    """Levels as received and as written, each None where nothing was measured."""

    before: Levels | None = None
    after: Levels | None = None


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One stem of a pass.

    ``output`` is None for a stem that has no file in the pass; ``match_gain_db`` brings it back to the loudness received;
    ``messages`` are what rendering wants said, after those of the plan; ``taken_from`` is the pass the file was taken over
    from, byte for byte.
    """

    item: PlanItem
    output: Output | None
    levels: LevelPair = LevelPair()
    match_gain_db: float | None = None
    went_over: bool = False
    messages: tuple[str, ...] = ()
    taken_from: str | None = None

    @property
    def stem(self) -> str:
        """The stem, as the plan has it."""
        return self.item.stem

    @property
    def all_messages(self) -> tuple[str, ...]:
        """What the plan and the rendering want said."""
        return (*self.item.messages, *self.messages)

    @property
    def sha256(self) -> str | None:
        """The hash of its file, None where it has none."""
        return None if self.output is None else self.output.sha256

    def as_json(self) -> Plain:
        """Return the entry as the manifest has it."""
        from stemwright.passes.manifest_file import entry_as_json  # noqa: PLC0415 - it knows these types

        return entry_as_json(self)
