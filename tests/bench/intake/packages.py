"""The bench's recordings: Debian packages that no threshold of intake was ever set on, but for those called looked at.

``python tests/bench/intake/packages.py`` prints what to install.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import soundfile

# Thresholds were set while looking at these ...
LOOKED_AT = (
    "bucklespring-data",  # keys of a keyboard, recorded close: real clicks
    "lomiri-sounds",  # ringing tones, played and synthetic
    "fretsonfire-songs-sectoid",  # songs, and their guitars alone
    "sound-icons",
    "wordwarvi-sound",  # driven guitars and synthetic effects
    "tecnoballz-data",  # effects of an old machine, 8 bit
    "asterisk-moh-opsound-wav",  # music at 8 kHz
    "yaru-theme-sound",
    "sonic-pi-samples",  # drums, loops, gated and square sounds
    "hydrogen-drumkits",
)
# ... and never while looking at these: run when all was done.
NEVER = (
    "wesnoth-1.16-data",  # voices, blades, animals
    "drascula-music",
    "hyperrogue-music",
    "singularity-music",
    "fretsonfire-songs-muldjord",
    "tuxmath-data",
    "zaz-data",
    "freedink-data",
)
ENDINGS = (".wav", ".ogg", ".flac", ".oga", ".aif", ".aiff")
LONGEST_SECONDS = 40.0


def recordings(part: str, at_most: int = 120) -> list[Path]:
    """Return the files of a part ("looked" or "never"), at most so many of a package, evenly taken."""
    found: list[Path] = []
    for package in LOOKED_AT if part == "looked" else NEVER:
        listed = subprocess.run(["dpkg", "-L", package], capture_output=True, text=True, check=False).stdout.splitlines()
        files = sorted(path for line in listed if (path := Path(line)).suffix.lower() in ENDINGS and path.is_file())
        if not files:
            print(f"not installed, so left out: {package}")
        found += files if len(files) <= at_most else [files[round(n)] for n in np.linspace(0, len(files) - 1, at_most)]
    return found


def read(path: Path) -> tuple[np.ndarray, int]:
    """Return a recording, at most 40 s of its middle: float64, shape (frames, channels), and its rate."""
    with soundfile.SoundFile(path) as file:
        most = round(LONGEST_SECONDS * file.samplerate)
        file.seek(max((file.frames - most) // 2, 0))
        return file.read(most, always_2d=True), file.samplerate


if __name__ == "__main__":
    if shutil.which("apt-get") is None:
        print("these are Debian's packages:")
    print("apt-get install --no-install-recommends", *LOOKED_AT, *NEVER)
