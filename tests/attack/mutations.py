"""Mutations: texts broken with an eye to their structure, and audio broken in its header, its chunks and its length."""

from __future__ import annotations

import contextlib
import copy
import io
import json
import re
from typing import TYPE_CHECKING

import numpy as np
import soundfile

from stemwright.passes.manifest_file import plan_hash

if TYPE_CHECKING:
    import random

NASTY = [None, True, -1, 0, 1, 10**12, 10**400, 1e308, -1e308, float("nan"), float("inf"), "", "../x", "/etc/passwd", [], {}]
NASTY += ["\u202e", "\x1b[2J", "\ud800", "x" * 5000, "yes", "1e999", [[]], {"a": {}}, "NaN", "MP3", 2**64, -0.0, 1e-320]
WORDS = (b"nan", b".inf", b"-1 dB", b"1e999 Hz", b"0 Hz", b"999 kHz", b"no", b"~", b"*a", b"!!python/object:os.system", b"10:30",
         b"300 dB", b"../../x", b"[]", b"{}", b"|", b'"\\u202e"', b"drums", b"piano")  # fmt: skip
PIECES = (
    b"",
    b"\x00",
    b": ",
    b"- ",
    b"[",
    b"{",
    b"&a *a",
    b"\n  ",
    b"\xff",
    b"1e999",
    b"-9" * 40,
    b"\t",
    b"#",
    b"'",
    b'"',
    b"%",
)
CONTAINERS = ("WAV PCM_24", "WAV FLOAT", "WAV DOUBLE", "WAV PCM_U8", "WAVEX PCM_16", "RF64 PCM_16", "AIFF PCM_24", "FLAC PCM_16",
              "CAF PCM_24", "W64 PCM_16", "AU PCM_16", "OGG VORBIS", "MP3 MPEG_LAYER_III")  # fmt: skip
ENDINGS = {"RF64": "wav", "WAVEX": "wav", "AIFF": "aif"}


def mutated_text(raw: bytes, name: str, chance: random.Random) -> bytes:
    """Return a text broken: JSON in its tree and hashed again, YAML by lines and values, either by bytes."""
    if name.endswith(".json") and chance.random() < 0.7:
        data = json.loads(raw)
        for _ in range(chance.randint(1, 3)):
            _break(data, chance)
        with contextlib.suppress(Exception):  # where nothing is left to hash
            data["plan_sha256"] = plan_hash(data)
        return json.dumps(data).encode()
    if name.endswith(".yaml") and chance.random() < 0.5:
        return _by_lines(raw, chance)
    data = bytearray(raw)
    for _ in range(chance.randint(1, 4)):
        at, length = chance.randrange(len(data) + 1), chance.randint(0, 12)
        data[at : at + length] = chance.choice(PIECES)
    return bytes(data)


def _by_lines(raw: bytes, chance: random.Random) -> bytes:
    lines = raw.split(b"\n")
    for _ in range(chance.randint(1, 3)):
        at = chance.randrange(len(lines))
        match chance.randrange(4):
            case 0:
                lines[at : at + 1] = [lines[at]] * chance.choice([0, 2, 300])
            case 1:
                lines[at] = b"  " * chance.randrange(4) + lines[at].strip()
            case _:
                values = list(re.finditer(rb"[\w.+-]+( ?[kd]?[HB]z?)?", lines[at]))
                if values:
                    one = chance.choice(values)
                    lines[at] = lines[at][: one.start()] + chance.choice(WORDS) + lines[at][one.end() :]
        lines = lines or [b""]
    return b"\n".join(lines)


def _break(data: object, chance: random.Random) -> None:
    """Put something nasty somewhere into a tree of JSON, or take something away."""
    while isinstance(data, dict | list) and data:
        keys = list(data) if isinstance(data, dict) else list(range(len(data)))
        key = chance.choice(keys)
        inner = data[key]
        if isinstance(inner, dict | list) and inner and chance.random() < 0.85:
            data = inner
        elif chance.random() < 0.2:
            del data[key]
            return
        else:
            data[key] = copy.deepcopy(chance.choice(NASTY))
            return


def broken_audio(how: str, chance: random.Random) -> bytes:
    """Return a file of a container and subtype in which some bytes are others, some are gone, or some are said twice."""
    container, subtype = how.split()
    frames = chance.choice([1, 4000, 24_000])
    noise = np.random.default_rng(chance.randrange(1000)).standard_normal((frames, chance.choice([1, 2]))) * 0.1
    file = io.BytesIO()
    soundfile.write(file, noise, chance.choice([44_100, 48_000]), subtype, format=container)
    raw = bytearray(file.getvalue())
    for _ in range(chance.randint(1, 8)):
        at = chance.randrange(min(chance.choice([64, 256, len(raw)]), len(raw)))
        if chance.random() < 0.2:
            raw[at : at + 4] = chance.choice(
                [b"\xff\xff\xff\xff", b"\0\0\0\0", b"\x7f\xff\xff\xff", b"\xff\xff\xff\x7f", b"data"]
            )
        else:
            raw[at] = chance.randrange(256)
    if chance.random() < 0.1:
        at = chance.randrange(len(raw))
        raw[at:at] = raw[at : at + chance.randrange(64)]
    return bytes(raw[: chance.randint(1, len(raw))] if chance.random() < 0.2 else raw)


def ending(how: str) -> str:
    """Return the ending of a container's files."""
    container = how.split(maxsplit=1)[0]
    return ENDINGS.get(container, container.lower())
