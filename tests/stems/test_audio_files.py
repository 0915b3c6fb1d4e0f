"""Audio in and out: every container, bit for bit, against soundfile; sizes beyond RIFF; broken files."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from stemwright.errors import AudioError, WriteError
from stemwright.stems import wave
from stemwright.stems.audio import probe, read_blocks
from stemwright.stems.encoding import open_writer
from stemwright.stems.info import OutputSpec, bits_of, output_spec

FORMS = [
    ("WAV", "PCM_U8", ".wav"), ("WAV", "PCM_16", ".wav"), ("WAV", "PCM_24", ".wav"), ("WAV", "PCM_32", ".wav"),
    ("WAV", "FLOAT", ".wav"), ("WAV", "DOUBLE", ".wav"), ("RF64", "PCM_24", ".wav"), ("RF64", "FLOAT", ".rf64"),
    ("AIFF", "PCM_16", ".aif"), ("AIFF", "PCM_24", ".aiff"), ("AIFF", "FLOAT", ".aif"), ("FLAC", "PCM_16", ".flac"),
    ("FLAC", "PCM_24", ".flac"), ("CAF", "PCM_24", ".caf"), ("CAF", "FLOAT", ".caf"), ("W64", "PCM_24", ".w64"),
    ("W64", "FLOAT", ".w64"), ("AU", "PCM_24", ".au"),
]  # fmt: skip


def write(path, container, subtype, samples, rate_hz=48_000, like=b""):
    spec = OutputSpec(container=container, subtype=subtype, rate_hz=rate_hz, channels=samples.shape[1], like=like)
    with open_writer(path, spec, len(samples)) as writer:
        for at in range(0, len(samples), 1000):
            writer.write(samples[at : at + 1000])


def made(subtype, frames, channels):
    bits = bits_of(subtype)
    noise = np.random.default_rng(frames).uniform(-1, 1, (frames, channels))
    if bits is None:
        return noise, noise if subtype == "DOUBLE" else noise.astype(np.float32).astype(np.float64)
    integers = np.rint(noise * (2 ** (bits - 1) - 1)).astype(np.int32)
    return integers, integers / 2.0 ** (bits - 1)


def read(path, block=777):
    info = probe(path)
    return np.concatenate([*read_blocks(path, info, block), np.zeros((0, info.channels))])


@pytest.mark.parametrize(("container", "subtype", "ending"), FORMS)
@pytest.mark.parametrize(("frames", "channels"), [(2501, 1), (7, 2), (2500, 2), (1001, 3)])
def test_what_is_written_is_read_back_bit_for_bit_by_us_and_by_soundfile(
    tmp_path, container, subtype, ending, frames, channels
):
    samples, expected = made(subtype, frames, channels)
    path = tmp_path / f"stem{ending}"
    write(path, container, subtype, samples)
    info = probe(path)
    assert (info.container, info.subtype, info.frames, info.channels) == (container, subtype, frames, channels)
    assert np.array_equal(read(path), expected)
    assert np.array_equal(soundfile.read(path, always_2d=True)[0], expected)


@pytest.mark.parametrize(("container", "subtype", "ending"), FORMS)
def test_the_same_samples_make_the_same_file(tmp_path, container, subtype, ending):
    # A time of day in the file (the PEAK chunk of libsndfile's float files) would show one second later; comparing
    # with a file whose clock is two seconds on needs no waiting: the chunk is looked for instead.
    samples, _ = made(subtype, 2500, 2)
    write(tmp_path / f"a{ending}", container, subtype, samples)
    write(tmp_path / f"b{ending}", container, subtype, samples)
    first = (tmp_path / f"a{ending}").read_bytes()
    assert first == (tmp_path / f"b{ending}").read_bytes()
    assert b"PEAK" not in first[:4096] or container not in ("WAV", "RF64", "AIFF")


@given(st.binary(max_size=300))
def test_24_bit_samples_decode_as_three_little_endian_bytes(data):
    # Arithmetic: int.from_bytes is the definition.
    from stemwright.stems.samples import decode

    whole = bytearray(data[: len(data) // 3 * 3])
    expected = [int.from_bytes(whole[at : at + 3], "little", signed=True) / 2**23 for at in range(0, len(whole), 3)]
    assert decode(whole, "PCM_24", 1)[:, 0].tolist() == expected


def test_soundfiles_own_files_are_read_exactly(tmp_path):
    audio = np.random.default_rng(0).uniform(-1, 1, (5000, 2))
    for subtype in ("PCM_U8", "PCM_16", "PCM_24", "PCM_32", "FLOAT", "DOUBLE"):
        for form in ("WAV", "WAVEX", "RF64"):
            path = tmp_path / f"{form}{subtype}.wav"
            soundfile.write(path, audio, 48_000, subtype, format=form)
            assert np.array_equal(read(path), soundfile.read(path)[0]), path.name


def test_an_extensible_header_keeps_its_speaker_mask(tmp_path):
    # Microsoft's WAVEFORMATEXTENSIBLE: cbSize 22, mask at offset 20 of the format chunk.
    source, target = tmp_path / "in.wav", tmp_path / "out.wav"
    soundfile.write(source, np.zeros((10, 6)), 48_000, "PCM_24", format="WAVEX")
    like = wave.read_layout(source).fmt
    write(target, "WAV", "PCM_24", np.zeros((10, 6), np.int32), like=like)
    assert wave.read_layout(target).fmt == like


def test_a_file_past_4_gib_becomes_an_rf64_with_true_sizes():
    # EBU Tech 3306: size fields 0xFFFFFFFF, ds64 first with riffSize, dataSize, sampleCount. 48 kHz/24 bit stereo
    # reaches the RIFF limit after 14913 s (arithmetic: 2**32 / 288000).
    fmt = wave.format_chunk("PCM_24", 2, 48_000)
    frames = 14_914 * 48_000
    head = wave.header("RIFF", fmt, frames)
    assert head[:8] == b"RF64\xff\xff\xff\xff"
    assert head[12:20] == b"ds64" + struct.pack("<I", 28)
    riff_size, data_size, samples = struct.unpack_from("<QQQ", head, 20)
    assert (data_size, samples) == (frames * 6, frames)
    assert riff_size == len(head) + data_size - 8
    assert wave.header("RIFF", fmt, 14_912 * 48_000)[:4] == b"RIFF"


def test_a_sparse_5_gib_rf64_is_read_to_its_last_frame(tmp_path):
    path = tmp_path / "long.wav"
    frames = 5 * 2**30 // 6
    head = wave.header("RIFF", wave.format_chunk("PCM_24", 2, 48_000), frames)
    with path.open("wb") as file:
        file.write(head)
        file.truncate(len(head) + frames * 6)
        file.seek(len(head) + (frames - 1) * 6)
        file.write(b"\x00\x00\x40\x00\x00\xc0")
    info = probe(path)
    assert (info.container, info.frames, info.cut_short) == ("RF64", frames, False)
    with soundfile.SoundFile(path) as oracle:
        assert oracle.frames == frames
        oracle.seek(frames - 1)
        assert oracle.read(1).tolist() == [[0.5, -0.5]]


def test_a_header_that_promises_more_than_is_there_is_noticed(tmp_path):
    path = tmp_path / "cut.wav"
    write(path, "WAV", "PCM_24", np.zeros((1000, 2), np.int32))
    path.write_bytes(path.read_bytes()[:-600])
    info = probe(path)
    assert (info.frames, info.promised_frames, info.cut_short) == (900, 1000, True)


def test_a_recorder_that_never_filled_in_its_sizes_is_read_to_the_end(tmp_path):
    path = tmp_path / "stream.wav"
    write(path, "WAV", "PCM_16", np.ones((1000, 1), np.int32))
    raw = bytearray(path.read_bytes())
    for unknown in (b"\x00\x00\x00\x00", b"\xff\xff\xff\xff"):
        raw[40:44] = unknown
        path.write_bytes(raw)
        assert (probe(path).frames, probe(path).cut_short) == (1000, False)


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", r"x\.wav: the file is empty \(0 bytes\); ask for it again"),
        (b"not audio at all", r"x\.wav: not readable as audio \(.*\); ask for the file again"),
        (b"RIFF\x04\x00\x00\x00WAVE", r"x\.wav: this WAV has no readable format chunk; ask for the file again"),
    ],
)
def test_a_broken_file_is_named_with_the_next_step(tmp_path, data, message):
    path = tmp_path / "x.wav"
    path.write_bytes(data)
    with pytest.raises(AudioError, match=f"^{message}$"):
        probe(path)


@pytest.mark.parametrize(
    ("channels", "rate_hz", "message"),
    [
        (0, 48_000, "contradicts itself"),
        (2, 1, "its header says 1 Hz; 8000 to 768000 Hz"),
        (200, 48_000, "200 channels; 1 to 64"),
    ],
)
def test_absurd_headers_are_refused(tmp_path, channels, rate_hz, message):
    fmt = struct.pack("<HHIIHH", 1, channels, rate_hz, rate_hz * channels * 2, channels * 2, 16)
    body = wave.chunk_bytes(b"fmt ", fmt) + wave.chunk_bytes(b"data", b"\0" * 800)
    path = tmp_path / "x.wav"
    path.write_bytes(b"RIFF" + struct.pack("<I", 4 + len(body)) + b"WAVE" + body)
    with pytest.raises(AudioError, match=message):
        probe(path)


@given(st.binary(max_size=400))
def test_no_bytes_crash_the_reader(data):
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        for head in (b"", b"RIFF\xff\xff\xff\xffWAVE", b"RF64\xff\xff\xff\xffWAVEds64\x1c\x00\x00\x00"):
            path = Path(folder) / "x.wav"
            path.write_bytes(head + data)
            try:
                info = probe(path)
                if info.frames < 10_000:
                    list(read_blocks(path, info))
            except AudioError as error:
                assert "x.wav" in str(error)  # noqa: PT017 - the message is the claim, where there is one


def test_a_failed_write_leaves_no_file(tmp_path):
    spec = OutputSpec(container="WAV", subtype="PCM_16", rate_hz=48_000, channels=1)
    with pytest.raises(WriteError, match="0 frames on disk, 10 expected"), open_writer(tmp_path / "a.wav", spec, 10):
        pass
    with pytest.raises(ZeroDivisionError), open_writer(tmp_path / "b.flac", spec, 10):
        raise ZeroDivisionError
    assert list(tmp_path.iterdir()) == []


def test_an_existing_file_is_never_overwritten(tmp_path):
    (tmp_path / "a.aif").write_text("somebody's")
    for name, container in (("a.aif", "AIFF"), ("a.aif", "WAV")):
        spec = OutputSpec(container=container, subtype="PCM_16", rate_hz=48_000, channels=1)
        with pytest.raises(FileExistsError):
            open_writer(tmp_path / name, spec, 10)
    assert (tmp_path / "a.aif").read_text() == "somebody's"


@pytest.mark.parametrize(
    ("container", "subtype", "bits", "expected"),
    [
        ("FLAC", "PCM_24", None, ("FLAC", "PCM_24")),
        ("FLAC", "PCM_16", 32, ("WAV", "PCM_32")),  # RFC 9639 allows 32 bits, libsndfile's encoder stops at 24
        ("OGG", "VORBIS", None, ("WAV", "PCM_24")),
        ("WAV", "ULAW", None, ("WAV", "PCM_24")),
        ("AIFF", "PCM_16", "float", ("AIFF", "FLOAT")),
    ],
)
def test_a_form_that_cannot_hold_the_result_changes(tmp_path, container, subtype, bits, expected):
    path = tmp_path / "x"
    soundfile.write(path, np.zeros((1000, 1)), 48_000, subtype, format=container)
    spec = output_spec(probe(path), bits)
    assert (spec.container, spec.subtype) == expected
