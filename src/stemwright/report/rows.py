"""What the page says of each stem, in words and numbers, ready for the template; nothing here is markup."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from stemwright.dsp.loudness import Levels
from stemwright.passes.story import short_changes
from stemwright.plan.wording import KINDS, changes_in_short, decibels, described, frequency, in_short, level

if TYPE_CHECKING:
    from collections.abc import Sequence

    from stemwright.passes.entry import Entry, Output
    from stemwright.passes.manifest import Manifest
    from stemwright.plan.items import Evidence
    from stemwright.stems.findings import Finding

LABELS = {
    "freq_hz": "frequency",
    "gain_db": "gain",
    "slope_db_oct": "slope",
    "q": "q",
    "threshold_db": "threshold",
    "ratio": "ratio",
    "attack_ms": "attack",
    "release_ms": "release",
    "makeup_db": "make-up",
    "over_db": "nearer to the whole than",
    "most_db": "at most",
    "keep_percent": "keeps",
    "follow_percent": "follows",
    "at_most_db": "moves at most",
    "linear_phase": "linear phase",
    "times_to_63_percent": "times to 63 % of a change",
}
EVIDENCE = {
    "excess_db": "stands out by {:.1f} dB",
    "width_hz": "{:.0f} Hz wide",
    "share": "there {:.0%} of the active time",
    "confidence": "certain to {:.0%}",
    "asked_db": "asked for {:+.1f} dB",
}


@dataclass(frozen=True, kw_only=True)
class MoveRow:
    """One move: its number in the stem's list, in short, its reason, the evidence of a ring, and every setting."""

    number: int
    kind: str
    short: str
    name: str
    why: str
    ring: bool
    evidence: tuple[str, ...]
    settings: tuple[tuple[str, str], ...]


@dataclass(frozen=True, kw_only=True)
class StemRow:
    """One stem. ``change`` is against the pass compared with: same, changed, new or empty where there is none."""

    id: str
    stem: str
    role: str
    recipe: str
    status: str
    why: str
    short: str
    moves: tuple[MoveRow, ...]
    lufs: tuple[str, str]
    peak: tuple[str, str]
    findings: tuple[Finding, ...]
    said: tuple[str, ...]
    change: str
    changes: tuple[str, ...]
    headline: str
    form: str
    output: Output | None
    rank: int


def stem_rows(manifest: Manifest, since: Manifest | None, findings: Sequence[Finding]) -> list[StemRow]:
    """Return a row for each stem of a pass.

    Parameters
    ----------
    manifest : Manifest
        The pass.
    since : Manifest or None
        The pass it is compared with.
    findings : sequence of Finding
        Of the intake, for the whole song.
    """
    old = since.entries if since is not None else {}
    return [
        _row(f"s{number}", entry, old.get(entry.stem), findings, compared=since is not None)
        for number, entry in enumerate(manifest.stems, start=1)
    ]  # in the manifest's order; `rank` says where each stands on the page


def _row(row_id: str, entry: Entry, old: Entry | None, findings: Sequence[Finding], *, compared: bool) -> StemRow:
    item = entry.item
    before, after = entry.levels.before or Levels(), entry.levels.after or Levels()
    change, changes = "", []
    if compared:
        change = "new" if old is None else "same" if same_file(entry, old) else "changed"
        if old is not None and change == "changed":
            changes = changes_in_short(old.item.moves, item.moves) or ["not by its moves: its file or form"]
    received = item.input
    form = ""
    if received is not None:
        rate = f"{received.rate_hz / 1000:g} kHz"
        channels = {1: "mono", 2: "stereo"}.get(received.channels, f"{received.channels} channels, heard as their mean")
        form = f"{received.container} {received.subtype.removeprefix('PCM_')}, {rate}, {channels}"
    return StemRow(
        id=row_id,
        stem=item.stem,
        role=item.role or "-",
        recipe=item.recipe or "-",
        status=item.status,
        why=item.why,
        short=in_short(item.moves) or "as received",
        moves=tuple(
            MoveRow(
                number=number,
                kind=KINDS[move.kind],
                short=described(move),
                name=move.name,
                why=move.why,
                ring=move.found is not None,
                evidence=_evidence(move.found),
                settings=tuple(
                    (LABELS.get(key, key), _value(key, value)) for key, value in sorted(move.settings.items(), key=_order)
                ),
            )
            for number, move in enumerate(item.moves, start=1)
        ),
        lufs=(_level(before.lufs), _level(after.lufs)),
        peak=(_level(before.true_peak_dbtp), _level(after.true_peak_dbtp)),
        findings=tuple(each for each in findings if each.stem == item.stem),
        said=entry.all_messages,
        change=change,
        headline=_headline(entry, old, change),
        rank=_rank(entry, change),
        changes=tuple(changes),
        form=form,
        output=entry.output,
    )


def _headline(entry: Entry, old: Entry | None, change: str) -> str:
    """Return what a reader wants to know of a stem on one line: what became of it, or why nothing did."""
    item = entry.item
    if entry.output is None:
        return f"{item.status}: {item.why}"
    if change == "changed" and old is not None:
        return short_changes(old.item.moves, item.moves) or "another file or form"
    moves = in_short(item.moves)
    if change == "same":
        return f"same bytes: {moves or item.why}"
    return moves or f"{item.status} as received: {item.why}" if item.status != "left" else f"left as received: {item.why}"


def _rank(entry: Entry, change: str) -> int:
    """Return where a stem stands on the page: what is missing, what changed, the rest."""
    if entry.item.status == "failed":
        return 0
    changed = change in ("changed", "new") or (not change and bool(entry.item.moves))
    return 1 if changed and entry.output else 3 if entry.output is None else 2


def same_file(entry: Entry, old: Entry) -> bool:
    """Whether two passes hold the same bytes of a stem (or neither holds any)."""
    return entry.sha256 == old.sha256


def _level(value: float | None) -> str:
    return level(None if value is None else round(value, 1) + 0.0)  # no minus in front of nothing


def _order(setting: tuple[str, float]) -> int:
    return list(LABELS).index(setting[0]) if setting[0] in LABELS else len(LABELS)


def _value(key: str, value: float) -> str:
    if key == "freq_hz":
        return frequency(value)
    if key == "slope_db_oct":
        return f"{value:g} dB/oct"
    if key in ("gain_db", "makeup_db"):
        return decibels(value)
    if key == "ratio":
        return f"{value:g}:1"
    units = {"_db": " dB", "_ms": " ms", "_hz": " Hz"}
    return f"{value:.4g}" + next((unit for ending, unit in units.items() if key.endswith(ending)), "")


def _evidence(found: Evidence | None) -> tuple[str, ...]:
    if found is None:
        return ()
    if isinstance(found.get("because"), str):  # a sentence that holds the numbers
        return (f"{found['because']}; {EVIDENCE['confidence'].format(found.get('confidence', 0.0))}", *_gave_way(found))
    numbers = [words.format(found[key]) for key, words in EVIDENCE.items() if isinstance(found.get(key), (int, float))]
    return (*numbers, *_gave_way(found))


def _gave_way(found: Evidence) -> tuple[str, ...]:
    return (str(found["gave_way"]),) if found.get("gave_way") else ()
