"""Songs from hell: every command ends with findings or a clear error, never a hang, a crash or a lost file."""

from __future__ import annotations

import io
import json
import os
import struct

import pytest
import soundfile

from stemwright.cli import main


def run(capsys, *arguments):
    code = main([str(argument) for argument in arguments])
    out, err = capsys.readouterr()
    assert code in (0, 1, 2), err
    assert "Traceback" not in err
    return code, out, err


def looked(capsys, song):
    _, out, _ = run(capsys, "look", song, "--json")
    return {(finding["stem"], finding["id"]): finding for finding in json.loads(out)["findings"]}


def wav(path, channels, frames, promised=None):
    data = b"\0\0" * channels * frames
    fmt = struct.pack("<HHIIHH", 1, channels, 48_000, (48_000 * channels * 2) & 0xFFFFFFFF, channels * 2, 16)
    body = (
        b"WAVEfmt "
        + struct.pack("<I", 16)
        + fmt
        + b"data"
        + struct.pack("<I", len(data) if promised is None else promised)
        + data
    )
    path.write_bytes(b"RIFF" + struct.pack("<I", len(body)) + body)


def test_hundreds_of_channels_no_frames_and_headers_that_lie_are_findings(make_song, capsys):
    song = make_song({"kick.wav": None})
    wav(song / "many.wav", 300, 10)
    wav(song / "none.wav", 2, 0)
    wav(song / "short.wav", 2, 10, promised=4000)
    (song / "text.wav").write_text("not audio")
    (song / "nothing.wav").touch()
    found = looked(capsys, song)
    assert found["many.wav", "unreadable"]["measured"].startswith("its header says 300 channels")
    assert found["none.wav", "no-audio"]["severity"] == "stop"
    assert found["short.wav", "cut-short"]["severity"] == "stop"
    assert ("text.wav", "unreadable") in found
    assert ("nothing.wav", "unreadable") in found
    code, _, _ = run(capsys, "prep", song)
    assert code == 1
    assert [path.name for path in (song / "passes/pass-01/stems").iterdir()] == ["kick.wav"]


def test_64_channels_are_worked_on(make_song, capsys, noise):
    song = make_song({"pad.wav": noise(0.5, channels=64)})
    run(capsys, "look", song)
    run(capsys, "prep", song)
    assert soundfile.info(song / "passes/pass-01/stems/pad.wav").channels == 64


def test_folders_pipes_and_links_are_passed_over(make_song, capsys, tmp_path):
    song = make_song({"kick.wav": None})
    (song / "x.wav").mkdir()
    os.mkfifo(song / "pipe.wav")
    (tmp_path / "secret.wav").write_bytes((song / "kick.wav").read_bytes())
    (song / "out.wav").symlink_to(tmp_path / "secret.wav")
    found = looked(capsys, song)
    assert {stem for stem, kind in found if kind == "not-a-stem"} == {"x.wav", "pipe.wav", "out.wav"}
    run(capsys, "prep", song)
    assert [path.name for path in (song / "passes/pass-01/stems").iterdir()] == ["kick.wav"]


ODD = [
    "new\nline kick.wav",
    "\u202egnp.wav",
    "\U0001f941.wav",
    "k" * 251 + ".wav",
    "KICK.wav",
    "kick.wav",
    "a\x1b[31mb.wav",
    "bad\udcff.wav",
]


def test_odd_names_reach_the_pass_the_sum_and_the_pack(make_song, capsys, noise):
    song = make_song({"plain.wav": None})
    names = []
    for name in ODD:
        try:
            wave = io.BytesIO()  # libsndfile takes no name that is no text
            soundfile.write(wave, noise(0.1, seed=len(names)), 48_000, "PCM_24", format="WAV")
            (song / name).write_bytes(wave.getvalue())
            names.append(name)
        except (OSError, UnicodeError):
            continue
    assert len(names) > 5
    _, out, _ = run(capsys, "look", song)
    assert "\x1b" not in out
    assert "\u202e" not in out
    run(capsys, "prep", song)
    written = {path.name for path in (song / "passes/pass-01/stems").iterdir()}
    assert written == {*names, "plain.wav"}
    run(capsys, "sum", song)
    code, out, _ = run(capsys, "pack", song, "1", "--json")
    assert code == 0
    assert len(json.loads(out)["files"]) == len(written) + 2


@pytest.mark.parametrize("ending", [".flac", ".ogg", ".aif"])
def test_damage_in_the_middle_is_a_finding_or_sound_but_never_a_crash(make_song, capsys, noise, ending):
    song = make_song({"kick.wav": None})
    path = song / f"pad{ending}"
    how = {".flac": ("FLAC", "PCM_16"), ".ogg": ("OGG", "VORBIS"), ".aif": ("AIFF", "PCM_24")}[ending]
    soundfile.write(path, noise(3.0), 48_000, how[1], format=how[0])
    raw = bytearray(path.read_bytes())
    for at in range(len(raw) // 3, len(raw) // 2, 7):
        raw[at] ^= 0x5A
    path.write_bytes(raw)
    run(capsys, "look", song)
    run(capsys, "prep", song)
    assert (song / "passes/pass-01/stems/kick.wav").is_file()
