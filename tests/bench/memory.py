"""Does memory grow with a stem's length? Peak resident memory of a pass of one hour against one minute, 96 kHz stereo.

Run: python tests/bench/memory.py [--minutes 60]

One worker; the process's peak is read from the operating system after each run, the interpreter and libraries included.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from pathlib import Path

import numpy as np
import soundfile


def make(folder: Path, minutes: float) -> None:
    """Write one stem of noise, 96 kHz 24-bit stereo, a second at a time."""
    folder.mkdir()
    random = np.random.default_rng(1)
    with soundfile.SoundFile(folder / "piano.wav", "w", 96_000, 2, "PCM_24") as file:
        for _ in range(round(minutes * 60)):
            file.write(random.standard_normal((96_000, 2)) * 0.05)


def peak_mib(song: Path) -> float:
    """Return the peak resident memory of ``stemwright prep`` on a song, in MiB."""
    pid = os.fork()
    if pid == 0:
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, 1)
        os.dup2(null, 2)
        os.execv(sys.executable, [sys.executable, "-m", "stemwright", "prep", str(song), "--jobs", "1", "--no-page"])
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
        peaks = []
        for minutes in (1.0, asked.minutes):
            song = Path(scratch) / f"{minutes:g}"
            make(song, minutes)
            peaks.append(peak_mib(song))
            print(f"{minutes:g} min of 96 kHz stereo: peak {peaks[-1]:.0f} MiB")
    print(f"ratio {peaks[1] / peaks[0]:.2f}")


if __name__ == "__main__":
    main()
