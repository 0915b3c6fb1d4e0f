"""The sum command: the whole beat in context."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from stemwright.cli.console import show, show_json, table, workers
from stemwright.cli.options import jobs_option, json_option, song_argument

if TYPE_CHECKING:
    from stemwright.handover.alignment import Aligned
    from stemwright.handover.sum import Summed

FITS_DB = -40.0  # a stem 40 dB under the mix is as good as missing; anything above is worth a look (common practice)


@click.command(name="sum")
@song_argument
@click.argument("pass_name", metavar="[PASS]", required=False)
@click.option(
    "--to", "folder", type=click.Path(path_type=Path), metavar="DIR", help="Write there instead of SONG/passes/sums."
)
@click.option("--solo", multiple=True, metavar="STEM", help="Add up only this stem; may be given more than once.")
@click.option("--without", multiple=True, metavar="STEM", help="Leave this stem out; may be given more than once.")
@jobs_option
@json_option
def sum_(  # noqa: PLR0913, PLR0917 - one parameter for each option
    song: Path,
    pass_name: str | None,
    folder: Path | None,
    solo: tuple[str, ...],
    without: tuple[str, ...],
    jobs: int | None,
    *,
    as_json: bool,
) -> int:
    """Add up all stems of SONG at unity, as received and as PASS (the newest by default) has them.

    Two 32-bit float WAV files, never clipped, with their loudness, the gain that makes them equally loud, and what became of
    the sum's spectrum and of the families' balance: a move is judged in the whole beat. If session.yaml names a reference mix,
    the received sum of all stems is held against it; exit code 1 if they do not fit, which is how a missing or doubled stem
    shows.
    """
    from stemwright.handover.sum import Chosen, sum_song  # noqa: PLC0415
    from stemwright.passes.song import open_song  # noqa: PLC0415 - nothing heavy before --help has answered

    opened = open_song(song)
    name = opened.find_pass(pass_name) if pass_name is not None or opened.passes() else None
    with workers(jobs) as executor:
        summed = sum_song(opened, name, folder, executor, Chosen(solo, without))
    fits = summed.aligned is None or (summed.aligned.residual_db <= FITS_DB and summed.aligned.offset_frames == 0)
    if as_json:
        show_json({**summed.as_json(), "fits_reference": None if summed.aligned is None else fits})
    else:
        show_summed(summed, fits=fits)
    return int(not fits)


def show_summed(summed: Summed, *, fits: bool) -> None:
    """Print both sums, the gain between them, and how they lie against the reference."""
    from stemwright.plan.wording import decibels, level  # noqa: PLC0415

    rows, files = [], []
    for what, each in (("as received", summed.received), (f"as {summed.name}", summed.prepped)):
        if each is not None:
            levels = each.levels
            form = f"{each.form.rate_hz / 1000:g} kHz float {each.form.channels} ch"
            rows.append([what, str(each.stems), form, level(levels.lufs), level(levels.true_peak_dbtp)])
            files.append(f"{what}: {each.path}")  # not in the table: a path folded is no path to copy
    table(["sum", "stems", "form", "LUFS", "dBTP"], rows, right=[1, 3, 4])
    for line in files:
        show(line)
    if summed.match_gain_db is not None:
        show(f"Play the prepped one {decibels(summed.match_gain_db)} to hear both equally loud.")
    show_changes(summed)
    if summed.prepped is None:
        show("No passes yet, so only the stems as received were added up.")
    if summed.reference is not None and summed.aligned is None:
        show(f"{summed.reference}: silent, or the sum is; nothing to hold against each other.")
    elif summed.aligned is not None:
        show_aligned(f"{summed.reference}", summed.aligned, summed.received.form.rate_hz, fits=fits)


def show_changes(summed: Summed) -> None:
    """Print what became of the sum's spectrum and of the families' balance."""
    from stemwright.plan.wording import frequency  # noqa: PLC0415

    if summed.bands:
        listed = [f"{frequency(each.low_hz)} {each.change_db:+.1f}" for each in summed.bands]
        show(f"Spectrum, equally loud, dB from each frequency up: {', '.join(listed)}.")
    if summed.families:
        listed = [
            f"{each.family} {each.before_lufs:.1f} -> {each.after_lufs:.1f} ({each.after_lufs - each.before_lufs:+.1f})"
            for each in summed.families
        ]
        show(f"Families, LUFS: {', '.join(listed)}.")


def show_aligned(reference: str, aligned: Aligned, rate_hz: int, *, fits: bool) -> None:
    """Print how the received stems' sum lies against the reference."""
    offset = aligned.offset_frames
    place = "starts with the sum" if not offset else f"is {abs(offset)} samples ({abs(offset) / rate_hz:.4f} s) "
    place += "" if not offset else "later" if offset > 0 else "earlier"
    gain = "" if aligned.gain_db is None else f", {aligned.gain_db:+.2f} dB from it in level"
    show(f"{reference} {place}{gain}; taken from each other {aligned.residual_db:.1f} dB are left.")
    if not fits:
        show("They do not fit: a stem may be missing, doubled, moved or processed after the mix, or the mix is mastered.")
