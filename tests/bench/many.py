"""Many songs: what a task costs to schedule, time against songs, the same bytes with workers killed in the middle.

    .venv/bin/python tests/bench/many.py [--songs 1 10 100] [--stems 20] [--seconds 0.5] [--workers 2 4]

Made-up songs of short noise; nothing here is about sound. Times are of this machine at this moment; look at the ratios, and at the
processor's time, ours and our processes', which a busy machine changes less.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import shutil
import signal
import tempfile
import threading
import time
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line sets it, before numpy is there

import numpy as np
import psutil  # comes with distributed
import soundfile

from stemwright.catalogue.cluster import connected
from stemwright.catalogue.listing import list_songs
from stemwright.catalogue.outcome import Total
from stemwright.catalogue.running import run
from stemwright.catalogue.window import Window
from stemwright.catalogue.work import Prep
from stemwright.cli.console import workers

ROLES = ("kick", "hats", "piano", "pad", "snare", "bass", "guitar", "shaker", "lead vocal", "strings")
TASKS = 2_000


def make_songs(folder: Path, songs: int, stems: int, seconds: float) -> None:
    rng = np.random.default_rng(1)
    for song in range(songs):
        where = folder / f"song {song:04d}"
        where.mkdir(parents=True)
        for stem in range(stems):
            audio = rng.standard_normal((round(48_000 * seconds), 1)) * 0.1
            name = f"{ROLES[stem % len(ROLES)]}{'' if stem < len(ROLES) else f' {stem // len(ROLES) + 1}'}"
            soundfile.write(where / f"{name}.wav", audio, 48_000, "PCM_24")


def forget_passes(folder: Path) -> None:
    for song in folder.iterdir():
        shutil.rmtree(song / "passes", ignore_errors=True)


def cpu_s() -> float:
    """Return the processor time of this process and those it has started."""
    everyone = [psutil.Process(), *psutil.Process().children(recursive=True)]
    return sum(sum(each.cpu_times()[:2]) for each in everyone)


def prep_all(window: Window, folder: Path, songs: int) -> tuple[float, float, Total]:
    """Prep so many songs; return the seconds it took, those of the processor, and the sums."""
    listed = list_songs(sorted(folder.iterdir())[:songs])
    began, cpu = time.perf_counter(), cpu_s()
    total = Total.of(run(listed.songs, Prep(executor=window, page=False), window))
    return time.perf_counter() - began, cpu_s() - cpu, total


def told(who: str, songs: int, seconds: float, cpu: float) -> None:
    each = f"{seconds / songs:.3f} s a song, {cpu / songs:.3f} of the processor's"
    print(f"{who}: {songs:4d} songs {seconds:7.2f} s, {each}", flush=True)


def fingerprint(folder: Path) -> str:
    digest = hashlib.sha256()
    for path in sorted(folder.glob("*/passes/pass-01/stems/*")):
        digest.update(path.relative_to(folder).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()


def half_written(folder: Path) -> list[str]:
    written = set(folder.glob("*/passes/pass-01/*")) | set(folder.glob("*/passes/*"))
    return [str(path) for path in written if path.name not in ("stems", "manifest.json", "pass-01")]


def kill_one_soon(window: Window, after_s: float) -> None:
    def kill() -> None:
        time.sleep(after_s)
        os.kill(window.submit(os.getpid).result(), signal.SIGKILL)

    threading.Thread(target=kill, daemon=True).start()


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--songs", type=int, nargs="*", default=[1, 10, 100])
    parser.add_argument("--stems", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=0.5)
    parser.add_argument("--workers", type=int, nargs="*", default=[2, 4])
    asked = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="stemwright-many-"))
    try:
        measure(folder, asked)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def measure(folder: Path, asked: argparse.Namespace) -> None:
    most = max(asked.songs)
    make_songs(folder, most, asked.stems, asked.seconds)
    with workers(2) as pool:
        for songs in asked.songs:
            forget_passes(folder)
            seconds, cpu, total = prep_all(Window(pool, 2), folder, songs)
            told("threads 2", songs, seconds, cpu)
            assert total.counts["rendered"] == songs * asked.stems
        here = fingerprint(folder)
        seconds, cpu, total = prep_all(Window(pool, 2), folder, most)
        told(f"threads 2, again, {total.counts['rendered']} rendered", most, seconds, cpu)
    for count in asked.workers:
        with connected(f"local:{count}") as cluster:
            list(cluster.window.map(abs, range(100)))  # every worker has loaded what it needs
            began, cpu = time.perf_counter(), cpu_s()
            list(cluster.window.map(abs, range(TASKS)))
            each, work = ((now - then) / TASKS * 1e3 for now, then in ((time.perf_counter(), began), (cpu_s(), cpu)))
            print(f"dask {count}: {TASKS} empty tasks, {each:.2f} ms a task, {work:.2f} ms of all processors", flush=True)
            for songs in asked.songs:
                forget_passes(folder)
                seconds, cpu, total = prep_all(cluster.window, folder, songs)
                told(f"dask {count}", songs, seconds, cpu)
            print(
                f"dask {count}: same bytes as threads: {fingerprint(folder) == here}, most under way {cluster.window.most}"
            )
            forget_passes(folder)
            kill_one_soon(cluster.window, seconds / 2)
            seconds, cpu, total = prep_all(cluster.window, folder, most)
            same = fingerprint(folder) == here
            print(
                f"dask {count}: one killed: {seconds:.2f} s, {dict(total.songs)}, same bytes: {same}, left: {half_written(folder)}"
            )


if __name__ == "__main__":  # a cluster's processes import this file
    main()
