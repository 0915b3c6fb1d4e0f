"""Planning: one stem and its recipe in, a plan item with explicit numbers out; no sample is touched."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass, replace
from pathlib import PurePosixPath
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from stemwright.dsp.sections import design
from stemwright.plan.items import TIMES_DEFINED, DeliverAs, InputFacts, PlanItem, PlannedMove
from stemwright.plan.only import only_at
from stemwright.recipes.kinds import KINDS
from stemwright.stems.info import output_spec
from stemwright.stems.resample import length_at

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from stemwright.plan.assignment import Assignment
    from stemwright.recipes.moves import Move
    from stemwright.stems.info import OutputSpec
    from stemwright.stems.survey import StemFacts

SEED_BYTES = 6  # 48 bits: exact in every JSON reader


@dataclass(frozen=True, kw_only=True)
class RingMoves:
    """What the ring finder made of one `rings` move: notches, and what to say about them."""

    notches: tuple[PlannedMove, ...]
    messages: tuple[str, ...] = ()


def plan_stem(
    facts: StemFacts,
    label: str,
    assignment: Assignment,
    rings: Mapping[str, RingMoves],
    bits: int | str | None = None,
) -> PlanItem:
    """Resolve one stem to explicit numbers.

    Parameters
    ----------
    facts : StemFacts
        The stem as received, hashed.
    label : str
        Its path below the song's folder.
    assignment : Assignment
        Which recipe takes it, or why none does.
    rings : mapping of str to RingMoves
        By the name of the `rings` move that found them.
    bits : {None, 16, 24, 32, "float"}
        Word length asked for by the session sheet; None keeps the stem's own.

    Returns
    -------
    PlanItem
        ``left`` where there is nothing to do, ``failed`` where the file cannot be worked on.
    """
    recipe = assignment.recipe
    item = PlanItem(
        stem=facts.stem,
        input=None,
        role=recipe.role if recipe else None,
        family=recipe.family if recipe else None,
        recipe=recipe.name if recipe else None,
        matched_by=assignment.matched_by,
        status="skipped",
        why=assignment.why,
    )
    if assignment.skip:
        return item
    if not facts.usable or facts.info is None or facts.sha256 is None:
        stops = "; ".join(finding.measured for finding in facts.findings if finding.severity == "stop")
        return replace(item, status="failed", why=stops)
    info = facts.info
    received = InputFacts(
        path=label,
        sha256=facts.sha256,
        frames=info.frames,
        channels=info.channels,
        rate_hz=info.rate_hz,
        container=info.container,
        subtype=info.subtype,
    )
    moves, messages = resolve(assignment.moves, info.rate_hz, rings, assignment.because)
    moves, outside = placed(moves, assignment, info.rate_hz, info.frames)
    messages = (*(f"{name} is not made: {reason}" for name, reason in assignment.aside.items()), *messages, *outside)
    if not moves:
        why = "none of its recipe's moves is needed here" if assignment.moves or assignment.aside else assignment.why
        as_received = DeliverAs(
            path=facts.stem, container=info.container, subtype=info.subtype, rate_hz=info.rate_hz, frames=info.frames
        )
        return replace(item, input=received, status="left", why=why, messages=messages, deliver_as=as_received)
    return written_as(
        replace(item, input=received, status="prepped", moves=moves, messages=messages), output_spec(info, bits)
    )


def placed(
    moves: Sequence[PlannedMove], assignment: Assignment, rate_hz: int, frames: int
) -> tuple[tuple[PlannedMove, ...], tuple[str, ...]]:
    """Return moves with the samples they are made in, and what to say of those that the stem has no room for."""
    asked = {move.name: move.only for move in assignment.moves if move.only}
    made: list[PlannedMove] = []
    notes: dict[str, None] = {}
    for move in moves:
        name = str(move.found["asked_by"]) if move.found is not None else move.name  # a notch stands for the rings' move
        if name not in asked:
            made.append(move)
            continue
        only = only_at(asked[name], assignment.places[name], rate_hz, frames)
        if only is None:
            notes[f"{name} is not made: the stem ends before {', '.join(asked[name])}"] = None
        else:
            made.append(replace(move, only=only))
    return tuple(made), tuple(notes)


def written_as(item: PlanItem, spec: OutputSpec) -> PlanItem:
    """Return the item with its file's name, format and dither settled; it has its input and moves already."""
    before = item.deliver_as
    name = PurePosixPath(item.stem if before is None else before.path)
    path = str(name.with_suffix(spec.extension(name.suffix)))
    frames = length_at(item.received.frames, item.received.rate_hz, spec.rate_hz) if before is None else before.frames
    return replace(
        item,
        seed=None if spec.bits is None else seed_of(item),
        deliver_as=DeliverAs(path=path, container=spec.container, subtype=spec.subtype, rate_hz=spec.rate_hz, frames=frames),
    )


def resolve(
    moves: Iterable[Move], rate_hz: int, rings: Mapping[str, RingMoves], because: Mapping[str, str] = MappingProxyType({})
) -> tuple[tuple[PlannedMove, ...], tuple[str, ...]]:
    """Turn a recipe's moves into planned ones.

    Parameters
    ----------
    moves : iterable of Move
        Switched-on moves in order.
    rate_hz : int
        The stem's sample rate.
    rings : mapping of str to RingMoves
        By move name.
    because : mapping of str to str
        Why a move's condition is met, by its name; put after its reason.

    Returns
    -------
    moves, messages : tuple of PlannedMove, tuple of str
        A `rings` move gives way to its notches; a move that changes nothing (0 dB) is not planned.
    """
    planned: list[PlannedMove] = []
    messages: list[str] = []
    for move in moves:
        if move.kind == "rings":
            found = rings.get(move.name, RingMoves(notches=()))
            planned.extend(found.notches)
            messages.extend(found.messages)
            continue
        sections = sections_of(move.kind, move.settings, rate_hz)
        if sections or KINDS[move.kind].own_stage:
            why = f"{move.why} ({because[move.name]})" if move.name in because else move.why
            settings = {key: value for key, value in move.settings.items() if key != "linear_phase" or value}
            if move.kind == "compress":
                settings[TIMES_DEFINED] = 1.0
            if settings.get("linear_phase"):
                messages.append(_ahead(move.name, sections, rate_hz))
            planned.append(PlannedMove(kind=move.kind, name=move.name, why=why, settings=settings, sections=sections))
    return tuple(planned), tuple(messages)


def _ahead(name: str, sections: tuple[tuple[float, ...], ...], rate_hz: int) -> str:
    # Imported here: most plans have no linear phase.
    from stemwright.dsp.zero_phase import ahead_of_a_step  # noqa: PLC0415

    early_ms, most_db = ahead_of_a_step(np.array(sections), rate_hz)
    return (
        f"{name}: linear phase sounds up to {early_ms:.0f} ms ahead of a step (over -60 dB of it), {most_db:.0f} dB at most"
    )


def sections_of(kind: str, settings: Mapping[str, float], rate_hz: int) -> tuple[tuple[float, ...], ...]:
    """Return a move's rows ``b0 b1 b2 a0 a1 a2``; none for a stage that needs none, or a move that changes nothing.

    Of a de-esser they are half of its band, of a high-pass with linear phase the half that is run each way.
    """
    if kind == "de_ess":
        settings, kind = {"freq_hz": settings["freq_hz"], "slope_db_oct": 6.0}, "high_pass"
    elif KINDS[kind].own_stage:
        return ()
    elif settings.get("linear_phase"):
        settings = half_way(settings)
    if kind == "polarity":
        return ((-1.0, 0.0, 0.0, 1.0, 0.0, 0.0),)
    if kind == "gain":
        gain_db = settings["gain_db"]
        return ((10.0 ** (gain_db / 20.0), 0.0, 0.0, 1.0, 0.0, 0.0),) if gain_db else ()
    return tuple(tuple(float(value) for value in row) for row in design(kind, settings, rate_hz))


def half_way(settings: Mapping[str, float]) -> dict[str, float]:
    """Return the high-pass which, run forward and backward, is 3 dB down where it is asked.

    A Butterworth high-pass of order m has the gain 1 / (1 + (f_c/f)^2m) when it is run twice. That is 1/sqrt(2) at f where
    (f_c/f)^2m = sqrt(2) - 1 (arithmetic).
    """
    slope_db_oct = settings["slope_db_oct"] / 2.0
    down = (math.sqrt(2.0) - 1.0) ** (6.0 / (2.0 * slope_db_oct))
    return {"freq_hz": settings["freq_hz"] * down, "slope_db_oct": slope_db_oct}


def seed_of(item: PlanItem) -> int:
    """Return the dither's seed: of the stem, not of the moves, so that two passes of it differ by the moves alone."""
    digest = hashlib.sha256(f"{item.stem}\n{item.received.sha256}".encode("utf-8", "surrogatepass")).digest()
    return int.from_bytes(digest[:SEED_BYTES], "big")
