"""How long does ``stemwright --help`` take, over a bare interpreter? Medians of runs in turn.

Run: python tests/bench/startup.py [--rounds 15]
"""

from __future__ import annotations

import argparse
import statistics
import subprocess
import sys
import time


def timed(arguments: list[str]) -> float:
    """Return how long a run of this interpreter takes, in milliseconds."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL)
    return (time.perf_counter() - start) * 1000


def main() -> None:
    """Run the bench and print its lines."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--rounds", type=int, default=15)
    asked = parser.parse_args()
    runs = {
        "bare interpreter": ["-c", "pass"],
        "import click": ["-c", "import click"],
        "--help": ["-m", "stemwright", "--help"],
    }
    times: dict[str, list[float]] = {name: [] for name in runs}
    for _ in range(asked.rounds):
        for name, arguments in runs.items():
            times[name].append(timed(arguments))
    for name, values in times.items():
        middle, bare = statistics.median(values), statistics.median(times["bare interpreter"])
        print(f"{name:18s} {middle:6.0f} ms   over bare {middle / bare:.1f}x")


if __name__ == "__main__":
    main()
