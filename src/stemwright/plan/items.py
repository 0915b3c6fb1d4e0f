"""Plan items: one stem's part of a plan, every move in explicit numbers, as data that survives JSON unchanged."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from typing import Any, Literal

from stemwright.dsp.dither import COUNTED
from stemwright.plan.only import Only
from stemwright.stems.info import bits_of

Status = Literal["prepped", "left", "skipped", "kept", "failed"]
LOSSY_CONTAINERS = ("MP3", "OGG")
RESERVED = frozenset({"kind", "name", "why", "sections", "found", "note", "only", "points"})

HOLD = "loudness held"  # the name of the gain that brings a stem's loudness back to what was received
TRIM = "trim for overs"  # the name of the gain that lowers every stem of a pass alike


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

    @classmethod
    def from_json(cls, data: dict[str, Any]) -> NoteMark:
        """Read back what ``asdict`` made of it."""
        return cls(**{**data, "said": tuple(Said(**said) for said in data["said"])})

    def as_json(self) -> dict[str, Any]:
        """Return the mark as plain JSON values."""
        return {**asdict(self), "said": [asdict(said) for said in self.said]}


@dataclass(frozen=True, kw_only=True)
class PlannedMove:
    """A move in explicit numbers.

    ``settings`` has units in its keys (``freq_hz``, ``gain_db``). ``sections`` are rows ``b0 b1 b2 a0 a1 a2``; a
    compressor has none, a de-esser those of half its band, and ``linear_phase`` half of it, run forward and backward.
    ``found`` is the evidence behind a notch that a ring made; ``note`` is there where a note made the move, or turned a
    ring's notch up or down. ``only`` says where it is made, None for everywhere. ``points`` are a ride's: frame, gain in dB, and
    the same as the factor that is used.
    """

    kind: str
    name: str
    why: str
    settings: dict[str, float]
    sections: tuple[tuple[float, ...], ...] = ()
    found: dict[str, Any] | None = None
    note: NoteMark | None = None
    only: Only | None = None
    points: tuple[tuple[int, float, float], ...] = ()

    @property
    def runs_as_sections(self) -> bool:
        """Whether its sections, run forward once, are the whole move."""
        return self.kind not in ("compress", "de_ess", "ride") and not self.settings.get("linear_phase")

    @property
    def has_no_state(self) -> bool:
        """Whether each sample of its result depends on that sample alone."""
        return self.kind in ("gain", "polarity") or (self.kind == "ride" and self.only is None)

    @property
    def gain_sections(self) -> tuple[tuple[float, ...], ...]:
        """Sections whose gain is the move's; none where that depends on the sound."""
        if self.settings.get("linear_phase"):
            return (*self.sections, *self.sections)
        return () if self.kind == "de_ess" else self.sections

    def as_json(self) -> dict[str, Any]:
        """Return the move as one flat JSON object."""
        head = {"kind": self.kind, "name": self.name, "why": self.why, **self.settings}
        note = None if self.note is None else self.note.as_json()
        # Plans from before there were such moves stay equal: what is not there is not written.
        only = {} if self.only is None else {"only": self.only.as_json()}
        points = {"points": [list(point) for point in self.points]} if self.points else {}
        return {
            **head,
            "sections": [list(row) for row in self.sections],
            "found": self.found,
            "note": note,
            **only,
            **points,
        }

    @classmethod
    def from_json(cls, data: dict[str, Any]) -> PlannedMove:
        """Read back what `as_json` wrote."""
        return cls(
            kind=data["kind"],
            name=data["name"],
            why=data["why"],
            settings={key: value for key, value in data.items() if key not in RESERVED},
            sections=tuple(tuple(row) for row in data["sections"]),
            found=data["found"],
            note=None if data["note"] is None else NoteMark.from_json(data["note"]),
            only=None if data.get("only") is None else Only.from_json(data["only"]),
            points=tuple((int(frame), float(db), float(factor)) for frame, db, factor in data.get("points", ())),
        )

    @property
    def sound(self) -> tuple[Any, ...]:
        """What of it decides samples."""
        only = None if self.only is None else self.only.sound
        return self.kind, self.sections, self.settings, only, self.points


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
class PlanItem:
    """All that decides one stem's sound in a pass.

    ``input`` is None for a stem that could not be read, ``deliver_as`` for one that is not written. ``seed`` is the
    dither's, None where none is needed, and ``dither`` its kind (see `stemwright.dsp.dither`). ``notes`` are things the
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
    notes: tuple[str, ...] = ()

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

    def as_json(self) -> dict[str, Any]:
        """Return the item as plain JSON values."""
        return {
            "stem": self.stem,
            "input": None if self.input is None else asdict(self.input),
            "role": self.role,
            "family": self.family,
            "recipe": self.recipe,
            "matched_by": self.matched_by,
            "status": self.status,
            "why": self.why,
            "moves": [move.as_json() for move in self.moves],
            "dither": {"kind": "none" if self.seed is None else self.dither, "seed": self.seed},
            "deliver_as": None if self.deliver_as is None else asdict(self.deliver_as),
            "notes": list(self.notes),
        }

    @classmethod
    def from_json(cls, data: dict[str, Any]) -> PlanItem:
        """Read back what `as_json` wrote; further keys are passed over."""
        return cls(
            stem=data["stem"],
            input=None if data["input"] is None else InputFacts(**data["input"]),
            role=data["role"],
            family=data["family"],
            recipe=data["recipe"],
            matched_by=data["matched_by"],
            status=data["status"],
            why=data["why"],
            moves=tuple(PlannedMove.from_json(move) for move in data["moves"]),
            seed=data["dither"]["seed"],
            dither=COUNTED if data["dither"]["kind"] == "none" else data["dither"]["kind"],
            deliver_as=None if data["deliver_as"] is None else DeliverAs(**data["deliver_as"]),
            notes=tuple(data["notes"]),
        )

    def sound(self) -> dict[str, Any]:
        """Return what decides the samples written, and nothing else: two equal sounds are the same file."""
        data = self.as_json()
        return {
            **{key: data[key] for key in ("stem", "input", "dither", "deliver_as")},
            "moves": [m.sound for m in self.moves],
        }


def plan_sha256(items: list[dict[str, Any]]) -> str:
    """Return the hash of a plan: of its items' JSON, sorted by stem, keys sorted, no spaces."""
    ordered = sorted(items, key=lambda item: str(item["stem"]))
    return hashlib.sha256(json.dumps(ordered, sort_keys=True, separators=(",", ":")).encode()).hexdigest()
