"""Plan items: one stem's part of a plan, every move in explicit numbers, as data that survives JSON unchanged."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from stemwright.dsp.dither import COUNTED
from stemwright.plan.only import Only, Sounds
from stemwright.recipes.kinds import KINDS
from stemwright.stems.info import bits_of

if TYPE_CHECKING:
    from stemwright.plain import Plain

Evidence = dict[str, object]  # the numbers and words behind a notch that a ring made
MoveSound = tuple[str, dict[str, float], tuple[tuple[float, ...], ...], Sounds | None]
Status = Literal["prepped", "left", "skipped", "kept", "failed"]
LOSSY_CONTAINERS = ("MP3", "OGG")

HOLD = "loudness held"  # the name of the gain that brings a stem's loudness back to what was received
TIMES_DEFINED = "times_to_63_percent"  # a setting of a compressor whose times are those to 63 % of a change in dB
TRIM = "trim for overs"  # the name of the gain that lowers every stem of a pass alike


class NoFileError(RuntimeError):
    """An item without a file was taken for one with: a fault of the caller, never of a song."""


@dataclass(frozen=True, kw_only=True)
class InputFacts:
    """The stem as received: ``path`` is below the song's folder, ``sha256`` of the file's bytes."""

    path: str
    sha256: str
    frames: int
    channels: int
    rate_hz: int
    container: str
    subtype: str


@dataclass(frozen=True, kw_only=True)
class Said:
    """One thing said about a stem: the note's number in the song, its words, by whom, and how much it meant.

    ``amount`` counts in the word of the mark: 1 is a plain "more" of it, -1 a plain "less", or a plain "more" of its
    opposite; ``exact`` where it was given in dB.
    """

    note: int
    text: str
    by: str | None
    amount: float
    exact: bool = False


@dataclass(frozen=True, kw_only=True)
class NoteMark:
    """What makes a move a note's: the word, whose meaning of it, how much of it there is now, and all that was said.

    ``base_db`` is the gain at amount 1, so that a later note turns the move up or down without rounding twice. For a
    ring's notch it is the gain the recipe gave it, and the amount counts from there.
    """

    word: str
    meaning: str
    amount: float
    base_db: float
    said: tuple[Said, ...]


@dataclass(frozen=True, kw_only=True)
class PlannedMove:
    """A move in explicit numbers.

    ``settings`` has units in its keys (``freq_hz``, ``gain_db``); ``times_to_63_percent`` says that a compressor's times have
    that definition. ``sections`` are rows ``b0 b1 b2 a0 a1 a2``; a compressor has none, a de-esser those of half
    its band, and ``linear_phase`` half of it, run forward and backward.
    ``found`` is the evidence behind a notch that a ring made; ``note`` is there where a note made the move, or turned a
    ring's notch up or down. ``only`` says where it is made, None for everywhere. ``points`` are a ride's:
    frame, gain in dB, and that as a factor.
    """

    kind: str
    name: str
    why: str
    settings: dict[str, float]
    sections: tuple[tuple[float, ...], ...] = ()
    found: Evidence | None = None
    note: NoteMark | None = None
    only: Only | None = None
    points: tuple[tuple[int, float, float], ...] = ()

    @property
    def runs_as_sections(self) -> bool:
        """Whether its sections, run forward once, are the whole move."""
        return not KINDS[self.kind].own_stage and not self.settings.get("linear_phase")

    @property
    def has_no_state(self) -> bool:
        """Whether each sample of its result depends on that sample alone."""
        return self.kind in ("gain", "polarity")

    @property
    def gain_sections(self) -> tuple[tuple[float, ...], ...]:
        """Sections whose gain is the move's; none where that depends on the sound."""
        if self.settings.get("linear_phase"):
            return (*self.sections, *self.sections)
        return () if KINDS[self.kind].own_stage else self.sections

    @property
    def sound(self) -> MoveSound:
        """What of it decides samples."""
        only = None if self.only is None else self.only.sound
        return self.kind, self.settings, (*self.sections, *self.points), only


@dataclass(frozen=True, kw_only=True)
class DeliverAs:
    """The file a stem is to become: ``path`` below the pass's ``stems`` folder, container, sample format, rate and length.

    More ``frames`` than the sound has at ``rate_hz`` are silence at its end.
    """

    path: str
    container: str
    subtype: str
    rate_hz: int
    frames: int

    @property
    def bits(self) -> int | None:
        """Integer word length, None for float and lossy formats."""
        return bits_of(self.subtype)

    @property
    def is_integer(self) -> bool:
        """Whether its samples are integers, which need dither."""
        return self.bits is not None

    @property
    def writable(self) -> bool:
        """Whether such a file can be written, not only copied."""
        return self.container not in LOSSY_CONTAINERS and (self.is_integer or self.subtype in ("FLOAT", "DOUBLE"))


@dataclass(frozen=True, kw_only=True)
class Sound:
    """What decides a stem's samples in a pass."""

    stem: str
    input: InputFacts | None
    seed: int | None
    dither: str | None
    deliver_as: DeliverAs | None
    moves: tuple[MoveSound, ...]


@dataclass(frozen=True, kw_only=True)
class PlanItem:
    """All that decides one stem's sound in a pass.

    ``input`` is None for a stem that could not be read, ``deliver_as`` for one that is not written. ``seed`` is the
    dither's, None where none is needed, and ``dither`` its kind (see `stemwright.dsp.dither`). ``messages`` are things the
    plan wants said on screen.
    """

    stem: str
    input: InputFacts | None
    role: str | None
    family: str | None = None
    recipe: str | None
    matched_by: str
    status: Status
    why: str
    moves: tuple[PlannedMove, ...] = ()
    seed: int | None = None
    dither: str = COUNTED
    deliver_as: DeliverAs | None = None
    messages: tuple[str, ...] = ()

    @property
    def received(self) -> InputFacts:
        """The stem as received, of an item that was read; what is skipped or failed has none."""
        if self.input is None:
            raise NoFileError(f"{self.stem}: {self.status}, so there is nothing it was read from")
        return self.input

    @property
    def file(self) -> DeliverAs:
        """The file it becomes, of an item that becomes one."""
        if self.deliver_as is None:
            raise NoFileError(f"{self.stem}: {self.status}, so it becomes no file")
        return self.deliver_as

    @property
    def copied(self) -> bool:
        """Whether the file goes out byte for byte: no move touches it, and its form and length are as received."""
        received, written = self.input, self.deliver_as
        if self.moves or received is None or written is None:
            return False
        return (written.container, written.subtype, written.rate_hz, written.frames) == (
            received.container,
            received.subtype,
            received.rate_hz,
            received.frames,
        )

    @property
    def sound(self) -> Sound:
        """What decides the samples written, and nothing else: two equal sounds are the same file."""
        return Sound(
            stem=self.stem,
            input=self.input,
            seed=self.seed,
            dither=None if self.seed is None else self.dither,
            deliver_as=self.deliver_as,
            moves=tuple(move.sound for move in self.moves),
        )

    def as_json(self) -> Plain:
        """Return the item as the manifest has it."""
        from stemwright.plan.written import item_as_json  # noqa: PLC0415 - it knows these types

        return item_as_json(self)
