"""Where does the time of a pass go? Processor time by kind of work, over all threads.

Run: python tests/bench/profile.py [SONG] [--no-page] [--seconds 60] [--stems 8] [--modules]

Without SONG it makes stems as `prep.py` does. The command runs in this process while a thread looks, every few
milliseconds, at where each other thread is, and books the processor time that thread has used since to the innermost
module of ours on its stack. So nothing has to be named to be seen: a module that KINDS does not name is printed by its
own name. `start-up` is what importing costs; `waiting` is time in a thread's own machinery.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
import tempfile
import threading
import time
from collections import Counter
from contextlib import redirect_stdout, suppress
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line sets it, before numpy is there
from prep import RECIPE, make_stems

if TYPE_CHECKING:
    from types import FrameType

EVERY_S = 0.004
# Kind of work: the functions (module, and name where one module does two kinds of work) that do it, the first that fits.
KINDS = {
    "reading": ("stems/audio.py:_filled", "stems/opening.py"),
    "decoding": ("native/__init__.py:Kernels.decode", "stems/samples.py:decode", "stems/audio.py"),
    "encoding": ("stems/encoding.py", "native/__init__.py:Kernels.pack_24", "stems/samples.py:encode"),
    "hashing and writing": (
        "stems/writing.py",
        "stems/survey.py:file_sha256",
        "passes/copying.py",
        "passes/taking.py",
    ),
    "intake": ("stems/intake/", "stems/survey.py", "native/__init__.py:Kernels.bends", "native/__init__.py:Kernels.folded"),
    "rings": ("dsp/rings/", "plan/ring_moves.py"),
    "sections": ("dsp/cascade.py", "native/__init__.py:Kernels.cascade", "dsp/zero_phase.py"),
    "compressor": ("dsp/compressor.py", "dsp/dynamics.py", "dsp/de_ess.py", "native/__init__.py:Kernels.compress"),
    "meters": ("dsp/loudness.py", "native/__init__.py:Kernels.meter"),
    "true peak": ("dsp/true_peak.py", "native/__init__.py:Kernels.true_peak"),
    "dither": ("dsp/dither.py", "native/__init__.py:Kernels.quantise"),
    "page: excerpts": ("report/listening.py", "report/excerpt.py", "report/beat.py", "dsp/pedals.py"),
    "page: differences": ("report/differences.py",),
    "page: spectra and waves": ("report/looking.py", "report/spectra.py", "dsp/overview.py"),
    "page: plots and text": ("report/",),
    "yaml, json, command": ("recipes/", "passes/manifest", "cli/"),
}
IDLE = ("threading.py", "queue.py", "selectors.py", "concurrent/futures/thread.py", "concurrent/futures/_base.py")


class Sampler(threading.Thread):
    """Books each thread's processor time to what it was doing when it was looked at."""

    def __init__(self) -> None:
        super().__init__(daemon=True)
        self.seconds: Counter[str] = Counter()
        self._used: dict[int, float] = {}
        self._done = threading.Event()

    def run(self) -> None:
        """Look until stopped."""
        while not self._done.wait(EVERY_S):
            for thread, frame in sys._current_frames().items():
                if thread == self.ident:
                    continue
                with suppress(OSError):  # a thread that has just ended
                    used = time.clock_gettime(time.pthread_getcpuclockid(thread))
                    self.seconds[where(frame)] += used - self._used.get(thread, 0.0)
                    self._used[thread] = used

    def stop(self) -> None:
        """Look no more."""
        self._done.set()
        self.join()


def where(frame: FrameType | None) -> str:
    """Return the innermost function of ours on a stack, as its path in the package and its name."""
    if frame is not None and frame.f_code.co_filename.endswith(IDLE):
        return "waiting"
    while frame is not None:
        path = frame.f_code.co_filename.replace(os.sep, "/")
        if "importlib" in path:
            return "start-up"
        if "/stemwright/" in path:
            return f"{path.rpartition('/stemwright/')[2]}:{frame.f_code.co_qualname}"
        frame = frame.f_back
    return "waiting"


def kind_of(place: str) -> str:
    """Return the kind of work that is done at a place."""
    found = (kind for kind, heads in KINDS.items() if any(place.startswith(head) for head in heads))
    return next(found, place.partition(":")[0])


def main() -> None:
    """Make one pass with somebody looking on, and print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("song", nargs="?", type=Path)
    parser.add_argument("--no-page", action="store_true")
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--stems", type=int, default=8)
    parser.add_argument("--modules", action="store_true", help="print every function by itself")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        song = Path(scratch) / "song"
        if asked.song is None:
            (song / "stems").mkdir(parents=True)
            (song / "recipes").mkdir()
            (song / "recipes" / "bench.yaml").write_text(RECIPE, encoding="utf-8")
            make_stems(song / "stems", asked.stems, asked.seconds)
        else:
            shutil.copytree(asked.song, song, ignore=shutil.ignore_patterns("passes"))
        sampler = Sampler()
        sampler._used[threading.get_ident()] = time.thread_time()  # what made the stems
        sampler.start()
        start, used = time.perf_counter(), time.process_time()
        from stemwright.cli import main as command

        with redirect_stdout(StringIO()), suppress(SystemExit):
            command(["prep", str(song), *(["--no-page"] if asked.no_page else [])])
        sampler.stop()
        clock, work = time.perf_counter() - start, time.process_time() - used
    booked = sampler.seconds
    whole = sum(booked.values())
    print(f"{clock:.2f} s by the clock, {work:.2f} s of processor time, {whole:.2f} s of it seen")
    shown: Counter[str] = Counter()
    for place, seconds in booked.items():
        shown[place if asked.modules else kind_of(place)] += seconds
    for name, seconds in shown.most_common(60):
        if seconds >= 0.002 * whole:
            print(f"{name:44s} {seconds:7.2f} s {seconds / whole:6.1%}")


if __name__ == "__main__":
    main()
