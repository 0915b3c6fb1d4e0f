"""Time at intake: rates, lengths, starts, silence around the sound, time references and tempo."""

from __future__ import annotations

import struct

import numpy as np

RATE_HZ = 48_000


def chunk(name, payload):
    return name + struct.pack("<I", len(payload)) + payload + b"\0" * (len(payload) & 1)


def add_chunks(path, *chunks):
    raw = path.read_bytes() + b"".join(chunks)
    path.write_bytes(raw[:4] + struct.pack("<I", len(raw) - 8) + raw[8:])


def bext(time_reference):
    fixed = bytearray(602)
    struct.pack_into("<Q", fixed, 338, time_reference)  # EBU Tech 3285: TimeReference at byte 338
    return chunk(b"bext", bytes(fixed))


def acid(tempo):
    return chunk(b"acid", struct.pack("<IHHfIHHf", 0, 60, 0, 0.0, 8, 4, 4, tempo))


def test_rates_that_differ_name_the_odd_one(intake, pink):
    stems = {"a.wav": pink(), "b.wav": pink(seed=2), "c.wav": pink(seed=3, rate_hz=44_100)}
    found = intake(stems, rate_hz={"a.wav": 48_000, "b.wav": 48_000, "c.wav": 44_100})
    assert set(found) == {(None, "rates-differ")}
    assert found[None, "rates-differ"].measured == "sample rates differ: most stems have 48 kHz, but c.wav 44.1 kHz"


def test_lengths_that_differ_name_the_odd_one(intake, pink):
    found = intake({"a.wav": pink(), "b.wav": pink(seed=2), "c.wav": pink(4.0, seed=3)})
    assert set(found) == {(None, "lengths-differ")}
    assert found[None, "lengths-differ"].measured == "lengths differ: most stems have 6.000 s, but c.wav 4.000 s"


def test_silence_before_and_after_is_said_to_the_sample(intake, pink):
    audio = np.concatenate([np.zeros((RATE_HZ * 4, 2)), pink(2.0), np.zeros((RATE_HZ * 8, 2))])
    audio[RATE_HZ * 4] = 0.1
    audio[RATE_HZ * 6 - 1] = 0.1
    found = intake({"a.wav": audio})
    assert set(found) == {("a.wav", "leading-silence"), ("a.wav", "trailing-silence")}
    assert found["a.wav", "leading-silence"].measured == "first sound at 4.000 s"
    assert found["a.wav", "trailing-silence"].measured == "last sound at 6.000 s, then 8.0 s of silence"


def test_a_stem_that_starts_late_by_a_delay_is_said_in_samples(intake, pink):
    stems = {}
    for number, late in enumerate((0, 0, 0, 0, 512)):
        audio = np.zeros((RATE_HZ * 8, 2))
        audio[RATE_HZ + late : RATE_HZ + late + RATE_HZ * 5] = pink(5.0, seed=number)
        audio[RATE_HZ + late] = 0.2
        stems[f"{number}.wav"] = audio
    found = intake(stems)
    assert set(found) == {("4.wav", "starts-late")}
    assert found["4.wav", "starts-late"].measured == (
        "its first sound comes after that of 4 stems that start together: 512 samples (0.0107 s)"
    )


def test_a_stem_printed_from_its_own_first_note_is_late_by_whole_bars(intake, pink, tmp_path):
    # Arithmetic: two bars of four at 120 bpm are 4 s, 192000 samples at 48 kHz.
    whole = np.concatenate([pink(10.0), np.zeros((RATE_HZ, 2))])
    stems = {"a.wav": whole, "b.wav": np.concatenate([pink(10.0, seed=2), np.zeros((RATE_HZ, 2))])}
    stems["late.wav"] = np.concatenate([pink(6.0, seed=3), np.zeros((RATE_HZ, 2))])
    intake(stems)
    add_chunks(tmp_path / "a.wav", acid(120.0))
    found = intake(dict.fromkeys(stems))
    assert found["late.wav", "starts-late"].measured == (
        "it sounds at once and is shorter than the others, so it seems to start late: "
        "192000 samples (4.0000 s, 2 bars of four at 120 bpm)"
    )


def test_a_time_reference_that_differs_is_a_late_start_and_is_told_as_a_clock(intake, pink, tmp_path):
    stems = {"a.wav": pink(), "b.wav": pink(seed=2)}
    intake(stems)
    add_chunks(tmp_path / "a.wav", bext(172_800_000))  # arithmetic: one o'clock at 48 kHz
    add_chunks(tmp_path / "b.wav", bext(172_800_000 + 24_000))
    found = intake(dict.fromkeys(stems))
    assert found["a.wav", "metadata"].measured == "time reference 172800000 samples (01:00:00.000)"
    assert found["b.wav", "starts-late"].measured == (
        "its time reference is later than the earliest stem's: 24000 samples (0.5000 s)"
    )


def test_tempos_that_differ(intake, pink, tmp_path):
    stems = {"a.wav": pink(), "b.wav": pink(seed=2)}
    intake(stems)
    add_chunks(tmp_path / "a.wav", acid(120.0))
    add_chunks(tmp_path / "b.wav", acid(93.0))
    found = intake(dict.fromkeys(stems))
    assert found[None, "tempos-differ"].measured == "tempos in the files' metadata differ: 120 bpm (1), 93 bpm (1)"
    assert found["b.wav", "metadata"].measured == "tempo 93 bpm"


def test_a_header_that_says_less_than_is_there(intake, pink, tmp_path):
    intake({"a.wav": pink()})
    raw = bytearray((tmp_path / "a.wav").read_bytes())
    at = raw.index(b"data")
    struct.pack_into("<I", raw, at + 4, 600_000)
    (tmp_path / "a.wav").write_bytes(raw)
    found = intake({"a.wav": None})
    assert found["a.wav", "header-short"].severity == "warn"
    # Arithmetic: 6 s of stereo 24 bit at 48 kHz are 1728000 bytes.
    assert found["a.wav", "header-short"].measured == "1128000 bytes follow that its header does not speak of"


def test_names_that_make_trouble(intake, pink):
    names = ["Kick.wav", "kick.wav", "new\nline.wav", "\u202egnp.wav", "k" * 251 + ".wav", "\U0001f941.wav"]
    found = intake({name: pink(seed=number) for number, name in enumerate(names)})
    assert {key for key in found if key[1] in ("odd-name", "names-collide")} == {
        ("kick.wav", "names-collide"),
        ("new\nline.wav", "odd-name"),
        ("\u202egnp.wav", "odd-name"),
        ("k" * 251 + ".wav", "odd-name"),
    }
