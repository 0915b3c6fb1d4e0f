"""Typed values from plain data, whoever else is at it."""

from __future__ import annotations

import subprocess
import sys

RACE = """
import sys, threading
from dataclasses import make_dataclass
from stemwright.plain import typed
sys.setswitchinterval(1e-6)
for number in range(300):
    inner = make_dataclass(f"Inner{number}", [(f"a{each}", int) for each in range(20)])
    kind = make_dataclass(f"Kind{number}", [(f"b{each}", inner) for each in range(5)])
    data = {f"b{each}": {f"a{one}": one for one in range(20)} for each in range(5)}
    barrier = threading.Barrier(4)
    def read():
        barrier.wait()
        for _ in range(3):
            assert typed(data, kind).b4.a19 == 19
    threads = [threading.Thread(target=read) for _ in range(4)]
    for thread in threads: thread.start()
    for thread in threads: thread.join()
print("whole")
"""


def test_a_type_may_be_read_for_the_first_time_by_several_threads_at_once():
    """The library behind it keeps what it knows of a type without a lock: two first times at once ended the process."""
    result = subprocess.run([sys.executable, "-c", RACE], capture_output=True, text=True, check=False)
    assert (result.returncode, result.stdout) == (0, "whole\n"), result.stderr[-500:]
