"""Does memory grow with a stem's length? Peak resident memory of a pass, long stems against short ones.

Run: python tests/bench/memory.py [--minutes 60]

One worker on one stem of 96 kHz stereo, on one of ten hours, and sixteen workers on sixteen stems; the process's peak is read
from the operating system after each run, the interpreter and libraries included.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from pathlib import Path

import numpy as np
import soundfile


def make(folder: Path, minutes: float, rate_hz: int = 96_000, stems: int = 1) -> Path:
    """Write stems of noise, 24-bit stereo, a second at a time."""
    folder.mkdir()
    random = np.random.default_rng(1)
    for number in range(stems):
        with soundfile.SoundFile(folder / f"piano {number + 1}.wav", "w", rate_hz, 2, "PCM_24") as file:
            for _ in range(round(minutes * 60)):
                file.write(random.standard_normal((rate_hz, 2)) * 0.05)
    return folder


def peak_mib(song: Path, jobs: int = 1) -> float:
    """Return the peak resident memory of ``stemwright prep`` on a song, in MiB."""
    pid = os.fork()
    if pid == 0:
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, 1)
        os.dup2(null, 2)
        os.execv(sys.executable, [sys.executable, "-m", "stemwright", "prep", str(song), "--jobs", str(jobs), "--no-page"])
    _, status, usage = os.wait4(pid, 0)
    if os.waitstatus_to_exitcode(status) != 0:
        raise SystemExit("prep failed")
    return usage.ru_maxrss / 1024


def main() -> None:
    """Run the bench and print its lines."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--minutes", type=float, default=60.0)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        peaks = [peak_mib(make(folder / f"{minutes:g}", minutes)) for minutes in (1.0, asked.minutes)]
        print(f"1 and {asked.minutes:g} min of 96 kHz stereo: peak {peaks[0]:.0f} and {peaks[1]:.0f} MiB")
        print(f"ten hours of 8 kHz stereo: peak {peak_mib(make(folder / 'ten hours', 600.0, 8_000)):.0f} MiB")
        many = [peak_mib(make(folder / f"16 x {minutes:g}", minutes, stems=16), jobs=16) for minutes in (0.5, 2.0)]
        print(f"16 workers, 16 stems of half a minute and of two, 96 kHz stereo: peak {many[0]:.0f} and {many[1]:.0f} MiB")
    print(f"ratios {peaks[1] / peaks[0]:.2f}, {many[1] / many[0]:.2f}")


if __name__ == "__main__":
    main()
