"""The recall sheet: every setting of every stem of a pass in words, as plain text to print and file."""

from __future__ import annotations

import unicodedata
from typing import TYPE_CHECKING

from stemwright.handover.rides import table_of
from stemwright.plan.wording import decibels, described, level

if TYPE_CHECKING:
    from stemwright.passes.entry import Entry
    from stemwright.passes.manifest import Manifest

WIDTH = 100


def recall_sheet(manifest: Manifest, title: str) -> str:
    """Return the recall sheet of a pass.

    Parameters
    ----------
    manifest : Manifest
        Of the pass.
    title : str
        The song's title.

    Returns
    -------
    str
        Lines of text; the same manifest always gives the same ones.
    """
    because = manifest.because
    lines = [f"{title}: recall sheet of {manifest.name}", "=" * min(len(title) + len(manifest.name) + 18, WIDTH), ""]
    reason = because.kind + (f' "{because.text}"' if because.text else "") + (f", by {because.by}" if because.by else "")
    lines += [
        f"made    {manifest.made_at.time} by stemwright {manifest.version}, because of: {reason}",
        f"plan    {manifest.plan_sha256}",
        f"get it back with: stemwright recall SONG {manifest.name}",
        "",
    ]
    for entry in manifest.stems:
        lines += [*_stem(entry), ""]
    return "\n".join(_readable(line) for line in lines)


def _stem(entry: Entry) -> list[str]:
    item = entry.item
    lines = [item.stem, "-" * min(len(item.stem), WIDTH)]
    recipe = f"recipe {item.recipe} ({item.matched_by})" if item.recipe else item.matched_by
    lines.append(f"    {item.status}: {recipe}; {item.why}")
    for number, move in enumerate(item.moves, start=1):
        lines.append(f"    {number:2d}. {described(move)}   [{move.name}]")
        if move.why:
            lines.append(f"        {move.why}")
        lines += [f"        {row}" for row in table_of(move, item.received.rate_hz)]
    if not item.moves and item.deliver_as is not None:
        lines.append("    no moves" + (": as received, byte for byte" if item.copied else ""))
    lines += [f"    note: {message}" for message in entry.all_messages]
    output = entry.output
    if output is not None and item.deliver_as is not None:
        rate = f"{item.deliver_as.rate_hz / 1000:g} kHz"
        lines.append(f"    file: {output.path}, {output.container} {output.subtype} {rate}, {item.deliver_as.frames} frames")
        lines.append(f"    sha256 {output.sha256}")
    lines += _levels(entry)
    return lines


def _levels(entry: Entry) -> list[str]:
    before, after = entry.levels.before, entry.levels.after
    if before is None or after is None:
        return []
    lufs = f"{level(before.lufs)} -> {level(after.lufs)} LUFS"
    peak = f"{level(before.true_peak_dbtp)} -> {level(after.true_peak_dbtp)} dBTP"
    gain = entry.match_gain_db
    match = "" if gain is None else f"; {decibels(gain)} brings it back to the loudness received"
    return [f"    levels: {lufs}, {peak}{match}"]


def _readable(line: str) -> str:
    """Make characters visible that would hide, break or turn a line round: names come from strangers."""
    return "".join(
        char if unicodedata.category(char) not in ("Cc", "Cf", "Cs", "Zl", "Zp") else f"\\u{ord(char):04x}" for char in line
    )
