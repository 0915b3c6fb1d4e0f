"""A hundred thousand stems on paper: listing, planning, manifests and the index page of made-up songs, metadata only.

    .venv/bin/python tests/bench/catalogue.py [--stems 1600 16000 100000]

Sixteen short sounds are listened to once; every song's facts are theirs under other names, and no rings are looked for. What a
stem costs in listening and rendering is tests/bench/prep.py's to say, and tests/bench/many.py's.
"""

from __future__ import annotations

import argparse
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np
import soundfile

from stemwright.catalogue.index import Gather, write_index
from stemwright.catalogue.listing import list_songs
from stemwright.passes import prep
from stemwright.passes.look import look
from stemwright.passes.make import Maker
from stemwright.passes.manifest_file import write_manifest
from stemwright.passes.song import open_song
from stemwright.plan import ring_moves

NAMES = (
    "KICK v3", "HiHat 01", "piano", "Warm Pad", "snare top", "bass DI", "Gtr muted", "SHKR 16ths",
    "Lead Vox", "strings", "pluck", "bells", "clap", "tom", "cymbals", "organ",
)  # fmt: skip


def pattern(folder: Path) -> tuple[prep.Look, dict]:
    """Return one song looked at, and the JSON of its first pass."""
    rng = np.random.default_rng(1)
    song = folder / "pattern"
    song.mkdir()
    for name in NAMES:
        soundfile.write(song / f"{name}.wav", rng.standard_normal((24_000, 1)) * 0.1, 48_000, "PCM_24")
    with ThreadPoolExecutor(2) as pool:
        seen = look(song, pool, hashed=True)
        made = prep.prep(seen, prep.plan(seen, pool), Maker(pool))
    return seen, made.manifest.as_json()


def make(folder: Path, songs: int, manifest: dict) -> Path:
    place = folder / f"{songs} songs"
    for number in range(songs):
        song = place / f"song {number:06d}"
        where = song / "passes" / "pass-01"
        where.mkdir(parents=True)
        for name in NAMES:
            (song / f"{name}.wav").touch()
        write_manifest(where, {**manifest, "song": song.name})
    return place


def timed(what: str, stems: int, began: float) -> None:
    """Tell the processor's time: others may be at work on the machine."""
    seconds = time.process_time() - began
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss >> 10
    print(
        f"{stems:7d} stems: {what:28s} {seconds:7.2f} s of one processor, {seconds / stems * 1e3:6.3f} ms a stem, peak {most} MiB",
        flush=True,
    )


def measure(stems: int) -> None:
    folder = Path(tempfile.mkdtemp(prefix="stemwright-catalogue-"))
    try:
        seen, manifest = pattern(folder)
        songs = stems // len(NAMES)
        place = make(folder, songs, manifest)
        size = (place / "song 000000" / "passes" / "pass-01" / "manifest.json").stat().st_size
        began = time.process_time()
        listed = list_songs(under=[place]).songs
        timed("listed", stems, began)
        ring_moves.find_all = lambda *_: {}  # they are found in audio, and there is none
        began = time.process_time()
        with ThreadPoolExecutor(1) as pool:
            for song in listed:  # the facts are here, so planning reads the manifest and no audio
                items = prep.plan(replace(seen, song=open_song(song.folder)), pool)
                assert len(items) == len(NAMES)
        timed("planned", stems, began)
        began = time.process_time()
        gather = Gather(executor=ThreadPoolExecutor(1), to=folder / "index.html")
        for song in listed:
            gather(song, lambda _: None)
        timed("manifests read for the index", stems, began)
        began = time.process_time()
        written = write_index(gather.rows.values(), folder / "index.html")
        timed("index page written", stems, began)
        print(f"{stems:7d} stems: a manifest {size / 1e3:.0f} kB a song, the index page {written / 1e6:.2f} MB")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--stems", type=int, nargs="*", default=[1_600, 16_000, 100_000])
    asked = parser.parse_args()
    if len(asked.stems) == 1:
        measure(asked.stems[0])
        return
    for stems in asked.stems:  # each in a process of its own, so that its peak is its own
        subprocess.run([sys.executable, __file__, "--stems", str(stems)], check=True)


if __name__ == "__main__":
    main()
