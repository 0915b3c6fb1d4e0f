"""The first pass of a beat: synthesise the demo beat's stems, then look at them and prep them with the real command line.

    python examples/first_beat.py [FOLDER]

FOLDER is ``examples/demo-beat`` unless given. Only files that this script made, and that nobody has changed since, are ever
written again; so edit ``session.yaml`` there, run it again, and your sheet stays.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import subprocess
import sys
from pathlib import Path

import beat
import numpy as np
import soundfile
from instruments import RATE_HZ, Sound

RECORD = ".made-by-first-beat.json"
DEFAULT = Path(__file__).parent / "demo-beat"
NEEDS_A_PERSON = 1  # the command line's exit code for: done, and a person should look at something


def main() -> int:
    """Make the beat, run ``look`` and ``prep`` on it, say what to try next."""
    if len(sys.argv) > 2 or sys.argv[1:] in (["-h"], ["--help"]):
        print(__doc__)
        return 0 if len(sys.argv) == 2 else 2
    folder = Path(sys.argv[1]) if len(sys.argv) == 2 else DEFAULT
    files = {name: wav(samples) for name, samples in beat.stems().items()}
    files["session.yaml"] = beat.SESSION.encode()
    refusal = write(folder, files)
    if refusal:
        print(refusal, file=sys.stderr)
        return 2
    what = f"{len(files) - 1} stems of {beat.FRAMES / RATE_HZ:.1f} s, 48 kHz, 24 bit, and a session sheet"
    print(f"The demo beat is in {shown(folder)}: {what}")
    for command in ("look", "prep"):
        print(f"\n$ stemwright {command} {shown(folder)}", flush=True)
        code = subprocess.run([sys.executable, "-m", "stemwright", command, str(folder)], check=False).returncode
        if code not in (0, NEEDS_A_PERSON):
            return code
    passes = sorted((folder / "passes").glob("pass-*/manifest.json"), key=lambda path: (len(path.parent.name), path))
    print(f"\nThe pass is in {shown(passes[-1].parent)}: stems/ to listen to, manifest.json with every number.\nTry next:")
    program = shown(Path(sys.executable).with_name("stemwright"))
    tries = {
        f"prep {shown(folder)} --plan": "every move and its reason; nothing is written",
        f"verify {shown(folder)}": "every file against its manifest",
        "recipes show hats": "a house recipe, to copy from",
    }
    for arguments, what in tries.items():
        print(f"  {program} {arguments:{max(map(len, tries))}}   {what}")
    print(f"Or change {shown(folder / 'session.yaml')} and prep again: only what differs is made anew.")
    return 0


def wav(samples: Sound) -> bytes:
    """Return a 24-bit WAV; rounded here, since the library would round down."""
    whole = np.rint(np.clip(samples, -1, 1) * (2**23 - 1)).astype(np.int32) << 8
    file = io.BytesIO()
    soundfile.write(file, whole, RATE_HZ, format="WAV", subtype="PCM_24")
    return file.getvalue()


def write(folder: Path, files: dict[str, bytes]) -> str:
    """Write what is not there yet, or is there as this script once wrote it; return why not, or nothing."""
    record_path = folder / RECORD
    if folder.exists() and not folder.is_dir():
        return f"{shown(folder)} is a file; give a folder that is empty or not there yet"
    if folder.exists() and not record_path.is_file() and any(folder.iterdir()):
        return f"{shown(folder)} has files in it that this script did not make; give a folder that is empty or not there yet"
    known: dict[str, list[str]] = json.loads(record_path.read_text(encoding="utf-8")) if record_path.is_file() else {}
    for name, content in files.items():
        known.setdefault(name, [])
        if sha256(content) not in known[name]:
            known[name].append(sha256(content))
    replace(record_path, json.dumps(known, indent=1, sort_keys=True).encode())  # first, so that an interrupted run can go on
    for name, content in files.items():
        path = folder / name
        there = sha256(path.read_bytes()) if path.exists() else None
        if there is not None and there not in known[name]:
            print(f"{shown(path)} was changed by hand and stays as it is")
        elif there != sha256(content):
            replace(path, content)
    return ""


def replace(path: Path, content: bytes) -> None:
    """Write a file whole or not at all."""
    path.parent.mkdir(parents=True, exist_ok=True)
    aside = path.with_name(f".{path.name}.part")
    aside.write_bytes(content)
    aside.replace(path)


def sha256(content: bytes) -> str:
    """Return the hash that tells whether a file is still as it was written."""
    return hashlib.sha256(content).hexdigest()


def shown(path: Path) -> str:
    """Return a path as a person would type it from here."""
    near = os.path.relpath(path.absolute())
    return str(path) if near.startswith("..") else near


if __name__ == "__main__":
    sys.exit(main())
