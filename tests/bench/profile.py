"""Where does the time of a pass go? Processor time of every kind of work, by name, over all threads.

Run: python tests/bench/profile.py [SONG] [--no-page] [--seconds 60] [--stems 8]

Without SONG it makes stems as `prep.py` does. The pass runs in this process; each share is the processor time (user and
system, with the kernel's copying) between entering and leaving the functions named below, without what they call that has
a share of its own. What is in none of them is `the rest`: Python between the blocks, YAML, JSON.
"""

from __future__ import annotations

import argparse
import functools
import importlib
import shutil
import sys
import tempfile
import threading
import time
from collections import defaultdict
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from prep import RECIPE, make_stems

# What is measured: share, module, attribute. A name that has gone is said, not skipped.
NAMED = (
    ("reading", "stems.audio", "_filled"),
    ("decoding", "stems.samples", "decode"),
    ("intake", "stems.survey", "listen"),
    ("rings", "plan.ring_moves", "find_all"),
    ("rings", "dsp.rings", "RingFinder.feed"),
    ("sections", "dsp.cascade", "Cascade.process"),
    ("compressor", "dsp.dynamics", "Compressor.process"),
    ("meters", "dsp.loudness", "LevelMeter.feed"),
    ("true peak", "dsp.true_peak", "TruePeak._scan"),
    ("dither", "dsp.dither", "Quantiser.process"),
    ("encoding", "stems.samples", "encode"),
    ("hashing", "stems.survey", "file_sha256"),
    ("hashing", "passes.render", "file_sha256"),
    ("writing", "stems.writing", "WaveWriter._put"),
    ("writing", "stems.writing", "WaveWriter._close"),
    ("copying", "passes.render", "copy_file"),
    ("copying", "passes.taking", "take_file"),
    ("page: looking", "report.looking", "overview_of"),
    ("page: spectra", "report.looking", "band_powers"),
    ("page: clips", "report.listening", "encode_clip"),
    ("page: clips", "report.looking", "hear"),
    ("page: plots", "report.page", "to_svg"),
    ("page: beat", "report.page", "hear_beat"),
    ("page: text", "report.page", "render_page"),
)


class Shares:
    """Processor time by name, each thread's own, without what is named inside."""

    def __init__(self) -> None:
        self.seconds: defaultdict[str, float] = defaultdict(float)
        self._inside = threading.local()
        self._lock = threading.Lock()

    def wrap(self, name: str, function):
        """Return the function, its own time counted under a name; a generator's between its items."""

        @functools.wraps(function)
        def counted(*args, **kwargs):
            stack = getattr(self._inside, "stack", None)
            if stack is None:
                stack = self._inside.stack = []
            stack.append(0.0)
            start = time.thread_time()
            try:
                return function(*args, **kwargs)
            finally:
                took = time.thread_time() - start
                own = took - stack.pop()
                if stack:
                    stack[-1] += took
                with self._lock:
                    self.seconds[name] += own

        return counted

    def install(self) -> None:
        """Put the counters into the program's modules."""
        for name, module_name, path in NAMED:
            try:
                holder = importlib.import_module(f"stemwright.{module_name}")
                *classes, attribute = path.split(".")
                for each in classes:
                    holder = getattr(holder, each)
                setattr(holder, attribute, self.wrap(name, getattr(holder, attribute)))
            except (ImportError, AttributeError):
                print(f"not measured, since it is not there: {module_name}.{path} ({name})", file=sys.stderr)


def main() -> None:
    """Make one pass with counters in it, and print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("song", nargs="?", type=Path)
    parser.add_argument("--no-page", action="store_true")
    parser.add_argument("--seconds", type=float, default=60.0)
    parser.add_argument("--stems", type=int, default=8)
    asked = parser.parse_args()
    start, used = time.perf_counter(), time.process_time()
    shares = Shares()
    shares.install()
    from stemwright.passes import prep
    from stemwright.passes.make import Maker
    from stemwright.report.page import write_page

    startup, started = time.process_time() - used, time.perf_counter() - start
    with tempfile.TemporaryDirectory() as scratch:
        song = Path(scratch) / "song"
        if asked.song is None:
            (song / "stems").mkdir(parents=True)
            (song / "recipes").mkdir()
            (song / "recipes" / "bench.yaml").write_text(RECIPE, encoding="utf-8")
            make_stems(song / "stems", asked.stems, asked.seconds)
        else:
            shutil.copytree(asked.song, song, ignore=shutil.ignore_patterns("passes"))
        start, used = time.perf_counter(), time.process_time()
        with ThreadPoolExecutor(2) as pool:
            seen = prep.look(song, pool, hashed=True)
            made = prep.prep(seen, prep.plan(seen, pool), Maker(pool, lambda _: None))
            if not asked.no_page and made.name is not None:
                write_page(seen.song, made.name, pool, None, seen.findings, manifest=made.manifest)
        clock, work = time.perf_counter() - start, time.process_time() - used
    shares.seconds["start-up"] = startup
    shares.seconds["the rest"] = work + startup - sum(shares.seconds.values())
    whole = sum(shares.seconds.values())
    print(f"{clock + started:.2f} s by the clock, {work + startup:.2f} s of processor time")
    for name, seconds in sorted(shares.seconds.items(), key=lambda pair: -pair[1]):
        print(f"{name:16s} {seconds:7.2f} s {seconds / whole:6.1%}")


if __name__ == "__main__":
    main()
