"""Planning: one stem and its recipe in, a plan item with explicit numbers out; no sample is touched."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from pathlib import PurePosixPath
from types import MappingProxyType
from typing import TYPE_CHECKING

from stemwright.dsp.sections import design
from stemwright.plan.items import DeliverAs, InputFacts, PlanItem, PlannedMove
from stemwright.stems.info import output_spec
from stemwright.stems.resample import length_at

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from stemwright.plan.assignment import Assignment
    from stemwright.recipes.moves import Move
    from stemwright.stems.info import OutputSpec
    from stemwright.stems.survey import StemFacts

DYNAMIC = ("compress", "de_ess")  # kinds that sections cannot say
SEED_BYTES = 6  # 48 bits: exact in every JSON reader


@dataclass(frozen=True, kw_only=True)
class RingMoves:
    """What the ring finder made of one `rings` move: notches, and what to say about them."""

    notches: tuple[PlannedMove, ...]
    notes: tuple[str, ...] = ()


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
    moves, notes = resolve(assignment.moves, info.rate_hz, rings, assignment.because)
    notes = (*(f"{name} is not made: {reason}" for name, reason in assignment.aside.items()), *notes)
    if not moves:
        why = "none of its recipe's moves is needed here" if assignment.moves or assignment.aside else assignment.why
        as_received = DeliverAs(
            path=facts.stem, container=info.container, subtype=info.subtype, rate_hz=info.rate_hz, frames=info.frames
        )
        return replace(item, input=received, status="left", why=why, notes=notes, deliver_as=as_received)
    return written_as(replace(item, input=received, status="prepped", moves=moves, notes=notes), output_spec(info, bits))


def written_as(item: PlanItem, spec: OutputSpec) -> PlanItem:
    """Return the item with its file's name, format and dither settled; it has its input and moves already."""
    assert item.input is not None  # noqa: S101 - only stems that were read are written
    before = item.deliver_as
    name = PurePosixPath(item.stem if before is None else before.path)
    path = str(name.with_suffix(spec.extension(name.suffix)))
    frames = length_at(item.input.frames, item.input.rate_hz, spec.rate_hz) if before is None else before.frames
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
    moves, notes : tuple of PlannedMove, tuple of str
        A `rings` move gives way to its notches; a move that changes nothing (0 dB) is not planned.
    """
    planned: list[PlannedMove] = []
    notes: list[str] = []
    for move in moves:
        if move.kind == "rings":
            found = rings.get(move.name, RingMoves(notches=()))
            planned.extend(found.notches)
            notes.extend(found.notes)
            continue
        sections = sections_of(move.kind, move.settings, rate_hz)
        if sections or move.kind in DYNAMIC:
            why = f"{move.why} ({because[move.name]})" if move.name in because else move.why
            settings = {key: value for key, value in move.settings.items() if key != "linear_phase" or value}
            planned.append(PlannedMove(kind=move.kind, name=move.name, why=why, settings=settings, sections=sections))
    return tuple(planned), tuple(notes)


def sections_of(kind: str, settings: Mapping[str, float], rate_hz: int) -> tuple[tuple[float, ...], ...]:
    """Return a move's rows ``b0 b1 b2 a0 a1 a2``; none for dynamics or a move that changes nothing."""
    if kind in DYNAMIC:
        return ()
    if kind == "polarity":
        return ((-1.0, 0.0, 0.0, 1.0, 0.0, 0.0),)
    if kind == "gain":
        gain_db = settings["gain_db"]
        return ((10.0 ** (gain_db / 20.0), 0.0, 0.0, 1.0, 0.0, 0.0),) if gain_db else ()
    return tuple(tuple(float(value) for value in row) for row in design(kind, settings, rate_hz))


def seed_of(item: PlanItem) -> int:
    """Return the dither's seed: of the stem, not of the moves, so that two passes of it differ by the moves alone."""
    assert item.input is not None  # noqa: S101 - only stems that were read are dithered
    digest = hashlib.sha256(f"{item.stem}\n{item.input.sha256}".encode("utf-8", "surrogatepass")).digest()
    return int.from_bytes(digest[:SEED_BYTES], "big")
