"""The story of a pass in a few sentences: who asked for what, what changed, what is the same file, what is missing and why."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import TYPE_CHECKING

from stemwright.plan.wording import decibels, describe, frequency, held_gains, in_short, places_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from stemwright.passes.entry import Entry
    from stemwright.passes.manifest import Manifest
    from stemwright.plan.items import PlannedMove

NAMED = 4  # stems a sentence names before it counts


@dataclass(frozen=True, kw_only=True)
class Story:
    """What a pass is.

    ``asked`` says because of what, ``done`` what was done; ``missing`` are stems without a file and ``left`` those as
    received, each with its reason. ``counts`` add up to all stems.
    """

    asked: str
    done: str
    counts: str
    missing: tuple[tuple[str, str], ...]
    left: tuple[tuple[str, str], ...]

    @property
    def sentence(self) -> str:
        """All of it on one line."""
        return "; ".join(part for part in (self.asked, self.done) if part)


def story_of(manifest: Manifest, since: Manifest | None, recalled: Manifest | None = None) -> Story:
    """Tell a pass.

    Parameters
    ----------
    manifest : Manifest
        The pass.
    since : Manifest or None
        The pass it is compared with.
    recalled : Manifest or None
        The pass that a recall brought back, where it can still be read.

    Returns
    -------
    Story
    """
    because = manifest.because
    done = _done(manifest, since)
    if because.kind == "recall":
        asked = f"{because.came_from} again"
        if recalled is not None:
            asked += f": {_identical(manifest, recalled)}"
        done = f"against {since.name}: {done}" if since is not None else ""
    elif because.kind == "note":
        asked = f"{because.by or 'the note'} asked: {_quoted(because.text or '')}"
    else:
        asked = f"{manifest.name} by the recipes"
    return Story(
        asked=asked,
        done=done,
        counts=counts(manifest),
        missing=tuple(
            (entry.stem, f"{entry.item.status}: {entry.item.why}") for entry in manifest.stems if not entry.output
        ),
        left=tuple((entry.stem, entry.item.why) for entry in manifest.stems if entry.item.status == "left" and entry.output),
    )


def counts(manifest: Manifest) -> str:
    """Return how many stems there are of each kind: ``12 stems: 10 prepped, 2 left as received``."""
    words = {"prepped": "prepped", "kept": "kept", "left": "left as received", "skipped": "skipped", "failed": "failed"}
    found = {status: sum(entry.item.status == status for entry in manifest.stems) for status in words}
    parts = [f"{number} {words[status]}" for status, number in found.items() if number]
    return f"{_stems(len(manifest.stems))}: {', '.join(parts)}"


def short_changes(before: Iterable[PlannedMove], after: Iterable[PlannedMove]) -> str:
    """Return what became of a stem's moves, as short as it goes: ``3 kHz +1.2 dB, high-pass 90 Hz 12 dB/oct``."""
    old, new = ({(move.kind, move.name): move for move in moves} for moves in (before, after))
    words = []
    for key in dict.fromkeys([*old, *new]):
        was, now = (None if move is None else move.settings for move in (old.get(key), new.get(key)))
        places = [None if move is None else move.only for move in (old.get(key), new.get(key))]
        where = next(places_of(move) for move in (new.get(key), old.get(key)) if move is not None)
        if key[0] == "ride" and key in new:
            words += [] if key in old and old[key].points == new[key].points else [f"{_ridden(new[key])}{where}"]
            continue
        if was == now:
            words += [f"{describe(key[0], now or {})}{where or ' everywhere'}"] if places[0] != places[1] else []
            continue
        one = (now or was or {}).copy()
        gain = (now or {}).get("gain_db", 0.0) - (was or {}).get("gain_db", 0.0)
        rest = [None if side is None else {k: v for k, v in side.items() if k != "gain_db"} for side in (was, now)]
        if "gain_db" in one and (None in rest or rest[0] == rest[1]):
            at = f"{frequency(one['freq_hz'])} " if "freq_hz" in one else ""
            words.append(f"{at}{decibels(gain)}{where}")
        elif now is None:
            words.append(f"{describe(key[0], was or {})}{where} out")
        else:
            words.append(f"{describe(key[0], now)}{where}")
    return ", ".join(words)


def _ridden(move: PlannedMove) -> str:
    held = held_gains(move)
    return f"phrases evened, {decibels(min(held))} to {decibels(max(held))}" if held else "phrases were even"


def short_name(stem: str) -> str:
    """Return a stem's name without its ending, which no sentence needs."""
    return PurePosixPath(stem).stem or stem


def _done(manifest: Manifest, since: Manifest | None) -> str:
    if since is None:
        moved = [entry for entry in manifest.stems if entry.output and entry.item.moves]
        if len(moved) == len(manifest.stems):
            return "every stem changed"
        return f"{_stems(len(moved))} of {len(manifest.stems)} changed, the others as received"
    old = since.entries
    changed = [entry for entry in manifest.stems if _moved(entry, old.get(entry.stem))]
    same = sum(entry.output is not None and not _moved(entry, old.get(entry.stem)) for entry in manifest.stems)
    failed = [short_name(entry.stem) for entry in manifest.stems if entry.item.status == "failed"]
    gone = [short_name(stem) for stem in old if stem not in manifest.entries]
    named = [_changed(entry, old.get(entry.stem)) for entry in changed[:NAMED]]
    more = [f"{len(changed) - NAMED} more"] if len(changed) > NAMED else []
    parts = [f"changed: {', '.join([*named, *more])}" if changed else "nothing changed"]
    parts.append(f"{_stems(same)} {'is' if same == 1 else 'are'} the same bytes")
    parts += [f"{len(failed)} failed: {', '.join(failed)}"] if failed else []
    parts += [f"no longer there: {', '.join(gone)}"] if gone else []
    return "; ".join(parts)


def _moved(entry: Entry, old: Entry | None) -> bool:
    return entry.output is not None and (old is None or entry.sha256 != old.sha256)


def _changed(entry: Entry, old: Entry | None) -> str:
    name = short_name(entry.stem)
    if old is None:
        return f"{name} (new{': ' + in_short(entry.item.moves) if entry.item.moves else ''})"
    return f"{name} ({short_changes(old.item.moves, entry.item.moves) or 'its file or form'})"


def _identical(manifest: Manifest, recalled: Manifest) -> str:
    """Count the stems whose samples are those of the pass brought back, by their hashes."""
    there = recalled.written
    same = 0
    for stem, was in there.items():
        now = manifest.entries.get(stem)
        if now is None or now.output is None or was.output is None:
            continue
        samples = [each.samples_sha256 for each in (was.output, now.output)]
        like = samples[0] is not None and samples[0] == samples[1] and was.output.subtype == now.output.subtype
        same += was.sha256 == now.sha256 or like
    return f"{same} of {len(there)} identical"


def _quoted(text: str) -> str:
    flat = " ".join(text.split())
    return f"“{flat}”"


def _stems(number: int) -> str:
    return f"{number} stem{'' if number == 1 else 's'}"
