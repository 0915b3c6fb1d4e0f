"""Memory that is freed stays with the process: the system is asked for it once, not for every block."""

from __future__ import annotations

import subprocess
import sys

import pytest

resource = pytest.importorskip("resource", reason="page faults are counted by POSIX systems")

# Five pieces of six megabytes written, then let go, twenty times over: 20 * 7,680 pages of 4 kB.
ROUNDS, PIECES, PIECE = 20, 5, 6 << 20
SCRIPT = f"""
import resource
import sys
import threading
from stemwright.native.heap import keep_freed
kept = keep_freed() if sys.argv[1] == "kept" else None

def work():
    for _ in range({ROUNDS}):
        [bytearray(b"x") * {PIECE} for _ in range({PIECES})]

threads = [threading.Thread(target=work) for _ in range(2)]
before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
for thread in threads:
    thread.start()
for thread in threads:
    thread.join()
print(kept, resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before)
"""


def faults(how):
    run = subprocess.run([sys.executable, "-c", SCRIPT, how], capture_output=True, text=True, check=True)
    kept, count = run.stdout.split()
    return kept == "True", int(count) / 2


def test_pages_of_what_was_freed_are_not_asked_for_again():
    kept, count = faults("kept")
    if not kept:
        pytest.skip("only glibc is asked to keep what is freed")
    once = PIECES * PIECE / 4096
    assert count < 1.5 * once
    assert faults("as it is")[1] > 0.5 * ROUNDS * once  # what this is worth: without, most pages come anew each time
