"""Container metadata survives: read back by wavinfo (not ours), and byte by byte where no reader is at hand."""

from __future__ import annotations

import struct

import numpy as np
import pytest
import soundfile
import wavinfo

from stemwright.passes import prep
from stemwright.passes.look import look
from stemwright.passes.make import Maker
from stemwright.stems.audio import probe, read_blocks
from stemwright.stems.chunks import SideChunk, append_aiff, for_output, history_line, lost, read_kept
from stemwright.stems.encoding import open_writer
from stemwright.stems.info import OutputSpec, output_spec

RATE_HZ = 48_000
HISTORY = b"A=PCM,F=48000,W=24,M=stereo,T=recorder\r\n"
IXML = (
    b'<?xml version="1.0" encoding="UTF-8"?><BWFXML><IXML_VERSION>1.5</IXML_VERSION><PROJECT>Night</PROJECT><SPEED>'
    b"<FILE_SAMPLE_RATE>48000</FILE_SAMPLE_RATE><TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI>0</TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_HI>"
    b"<TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO>172800000</TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO>"
    b"<TIMESTAMP_SAMPLE_RATE>48000</TIMESTAMP_SAMPLE_RATE></SPEED></BWFXML>"
)


def chunk(name, payload):
    return name + struct.pack("<I", len(payload)) + payload + b"\0" * (len(payload) & 1)


def bext(version=1, time_reference=172_800_000, history=HISTORY):
    """Return a bext payload; offsets from EBU Tech 3285 v2: 256, 32, 32, 10, 8, 4+4, 2, 64, 5 x 2, 180."""
    head = b"".join(
        text.ljust(size, b"\0")
        for text, size in ((b"the keys", 256), (b"Room A", 32), (b"REF0001", 32), (b"2026-01-02", 10), (b"01:00:00", 8))
    )
    loudness = struct.pack("<5h", -2300, 500, -100, -2000, -2100)
    fixed = head + struct.pack("<QH", time_reference, version) + bytes(range(64)) + loudness + b"\0" * 180
    assert len(fixed) == 602
    return fixed + history


def cue(*positions):
    points = b"".join(struct.pack("<II4sIII", n, at, b"data", 0, 0, at) for n, at in enumerate(positions, start=1))
    return struct.pack("<I", len(positions)) + points


def smpl(start, end):
    return struct.pack("<9I", 0, 0, 20_833, 60, 0, 0, 0, 1, 0) + struct.pack("<6I", 1, 0, start, end, 0, 0)


ADTL = (
    b"adtl"
    + chunk(b"labl", struct.pack("<I", 1) + b"verse\0")
    + chunk(b"ltxt", struct.pack("<II4sHHHH", 1, 4800, b"rgn ", 0, 0, 0, 0))
)
INFO = b"INFO" + chunk(b"INAM", b"Keys\0") + chunk(b"IART", b"somebody\0")
ACID = struct.pack("<IHHfIHHf", 0, 60, 0, 0.0, 8, 4, 4, 93.0)
INST = bytes([60, 0, 0, 0, 127, 1, 127])
ODD = b"\x01\x02\x03"


def wav(path, *, form=b"RIFF", frames=4801, before=(), after=()):
    """Write a stereo 24-bit WAV by hand: chunks before and after the data, odd sizes padded, nothing of ours used."""
    audio = np.random.default_rng(3).integers(-(2**20), 2**20, (frames, 2), dtype=np.int32)
    data = (audio.astype("<i4").view(np.uint8).reshape(-1, 4)[:, :3]).tobytes()
    fmt = chunk(b"fmt ", struct.pack("<HHIIHH", 1, 2, RATE_HZ, RATE_HZ * 6, 6, 24))
    head = b"".join(chunk(*each) for each in before)
    tail = b"".join(chunk(*each) for each in after)
    pad = b"\0" * (len(data) & 1)
    if form == b"RIFF":
        body = b"WAVE" + fmt + head + b"data" + struct.pack("<I", len(data)) + data + pad + tail
        path.write_bytes(b"RIFF" + struct.pack("<I", len(body)) + body)
    else:
        rest = fmt + head + b"data" + struct.pack("<I", 0xFFFFFFFF) + data + pad + tail
        ds64 = chunk(b"ds64", struct.pack("<QQQI", 4 + 36 + len(rest), len(data), frames, 0))
        path.write_bytes(form + struct.pack("<I", 0xFFFFFFFF) + b"WAVE" + ds64 + rest)
    return audio


BEFORE = ((b"bext", bext()), (b"iXML", IXML), (b"odd1", ODD))
AFTER = (
    (b"cue ", cue(480, 2400)),
    (b"LIST", ADTL),
    (b"smpl", smpl(0, 4800)),
    (b"inst", INST),
    (b"acid", ACID),
    (b"LIST", INFO),
)


def chunks_of(path):
    """List a file's chunks with our own few lines, apart from the code under test."""
    raw = path.read_bytes()
    position, found, sizes = 12, [], {}
    while position + 8 <= len(raw):
        name, size = struct.unpack_from("<4sI", raw, position)
        if name == b"ds64":
            sizes[b"data"] = struct.unpack_from("<Q", raw, position + 16)[0]
        size = sizes.get(name, size) if size == 0xFFFFFFFF else size
        found.append((name, raw[position + 8 : position + 8 + size]))
        position += 8 + size + (size & 1)
    assert position == len(raw), "chunks and pad bytes fill the file exactly"
    return found


@pytest.fixture
def prepped(tmp_path, executor):
    """Return a maker: a WAV with chunks goes through a whole pass; the file written comes back."""

    def make(name="keys.wav", sheet=None, **how):
        song = tmp_path / "song"
        song.mkdir()
        wav(song / name, **how)
        if sheet:
            (song / "session.yaml").write_text(sheet, encoding="utf-8")
        seen = look(song, executor, hashed=True)
        made = prep.prep(seen, prep.plan(seen, executor), Maker(executor))
        entry = made.manifest.as_json()["stems"][0]
        assert entry["status"] == "prepped"
        return song / "passes/pass-01/stems" / entry["output"]["path"], entry

    return make


@pytest.mark.parametrize("form", [b"RIFF", b"RF64", b"BW64"])
def test_every_chunk_survives_a_pass_in_order_on_its_side_of_the_audio(prepped, form):
    path, _ = prepped(form=form, before=BEFORE, after=AFTER)
    found = [name for name, _ in chunks_of(path)]
    ours = [name for name in found if name != b"ds64"]
    assert ours == [b"fmt ", b"bext", b"iXML", b"odd1", b"data", b"cue ", b"LIST", b"smpl", b"inst", b"acid", b"LIST"]
    payloads = [payload for name, payload in chunks_of(path) if name not in (b"fmt ", b"data", b"bext", b"ds64")]
    assert payloads == [payload for name, payload in (*BEFORE, *AFTER) if name != b"bext"]


def test_wavinfo_reads_what_was_there_and_one_line_more_of_history(prepped):
    path, _ = prepped(before=BEFORE, after=AFTER)
    read = wavinfo.WavInfoReader(str(path))
    assert read.bext.description == "the keys"
    assert read.bext.originator == "Room A"
    assert read.bext.time_reference == 172_800_000
    # EBU R 98: one line for every coding, ended by CR/LF.
    assert read.bext.coding_history == (HISTORY + b"A=PCM,F=48000,W=24,M=stereo,T=stemwright\r\n").decode()
    assert read.ixml.project == "Night"
    assert read.info.title == "Keys"
    assert [each.position for each in read.cues.cues] == [480, 2400]
    assert [(loop.start, loop.end) for loop in read.smpl.sample_loops] == [(0, 4800)]
    assert (read.data.frame_count, read.fmt.bits_per_sample) == (4801, 24)


def test_loudness_measured_before_the_moves_is_not_claimed_afterwards(prepped):
    path, _ = prepped(before=((b"bext", bext(version=2)),))
    raw = dict(chunks_of(path))[b"bext"]
    assert struct.unpack_from("<H", raw, 346)[0] == 2
    assert struct.unpack_from("<5h", raw, 412) == (0x7FFF,) * 5
    assert raw[348:412] == bytes(range(64))  # the UMID


@pytest.mark.parametrize("history", [b"", HISTORY.rstrip(), HISTORY + b"\0\0\0", HISTORY.replace(b"\r\n", b"\n")])
def test_the_history_line_starts_its_own_line_whatever_stood_before(history):
    info = output_like(24)
    (kept,) = for_output([SideChunk(b"bext", bext(history=history), before=True)], *info)
    lines = kept.payload[602:].split(b"\r\n")
    assert lines[-2:] == [b"A=PCM,F=48000,W=24,M=stereo,T=stemwright", b""]
    assert len(lines) == (2 if not history else 3)


def output_like(bits, rate_hz=RATE_HZ, container="WAV", channels=2):
    class Info:
        wave = object()

    info = Info()
    info.rate_hz, info.container = RATE_HZ, "WAV"
    return info, OutputSpec(container=container, subtype=f"PCM_{bits}", rate_hz=rate_hz, channels=channels)


def test_history_names_what_r98_has_names_for():
    assert history_line(output_like(16, 44_100, channels=1)[1]) == b"A=PCM,F=44100,W=16,M=mono,T=stemwright\r\n"
    assert history_line(output_like(24, channels=6)[1]) == b"A=PCM,F=48000,W=24,T=stemwright\r\n"


def test_places_in_samples_follow_another_rate(prepped):
    path, entry = prepped(sheet="deliver: {rate: 96 kHz}\n", before=BEFORE, after=AFTER)
    assert entry["deliver_as"]["rate_hz"] == 96_000
    read = wavinfo.WavInfoReader(str(path))
    assert read.fmt.sample_rate == 96_000
    assert read.bext.time_reference == 345_600_000  # arithmetic: twice as many samples since midnight
    assert [each.position for each in read.cues.cues] == [960, 4800]
    assert [(loop.start, loop.end) for loop in read.smpl.sample_loops] == [(0, 9600)]
    found = chunks_of(path)
    assert struct.unpack_from("<I", dict(found)[b"smpl"], 8)[0] in (10_416, 10_417)  # arithmetic: 1e9 / 96000 ns
    adtl = next(payload for name, payload in found if name == b"LIST" and payload.startswith(b"adtl"))
    assert struct.unpack_from("<II", adtl, adtl.index(b"ltxt") + 8) == (1, 9600)
    ixml = dict(found)[b"iXML"].decode()
    for tag, value in (
        ("FILE_SAMPLE_RATE", 96_000),
        ("TIMESTAMP_SAMPLE_RATE", 96_000),
        ("TIMESTAMP_SAMPLES_SINCE_MIDNIGHT_LO", 345_600_000),
    ):
        assert f"<{tag}>{value}</{tag}>" in ixml


def test_two_passes_write_the_same_bytes(prepped, tmp_path, executor):
    path, entry = prepped(before=BEFORE, after=AFTER)
    first = path.read_bytes()
    song = tmp_path / "song"
    (song / "passes").rename(tmp_path / "away")
    seen = look(song, executor, hashed=True)
    prep.prep(seen, prep.plan(seen, executor), Maker(executor))
    assert path.read_bytes() == first
    assert entry["messages"]["render"] == []


def test_a_flac_cannot_hold_them_and_that_is_said(prepped):
    path, entry = prepped(sheet="deliver: {format: flac}\n", before=BEFORE, after=AFTER)
    assert path.suffix == ".flac"
    assert entry["messages"]["render"] == [
        "what its file says beside the audio (bext, iXML, odd1, cue, LIST, smpl, inst, acid) did not fit into this FLAC"
    ]


def test_chunks_that_lie_about_their_size_do_no_harm(prepped):
    lying = struct.pack("<I", 0xFFFFFF) + b"\0" * 3
    path, _ = prepped(
        sheet="deliver: {rate: 44.1 kHz}\n",
        after=((b"cue ", lying), (b"smpl", b"\0" * 5), (b"plst", b""), (b"bext", b"short")),
    )
    assert [name for name, _ in chunks_of(path)] == [b"fmt ", b"data", b"cue ", b"smpl", b"plst", b"bext"]


def test_aiff_markers_and_instrument_survive(tmp_path, noise):
    path = tmp_path / "in.aif"
    soundfile.write(path, noise(0.1), RATE_HZ, "PCM_24", format="AIFF")
    mark = struct.pack(">HHI", 2, 1, 480) + b"\x05verse" + struct.pack(">HI", 2, 2400) + b"\x04ends\0"
    inst = bytes([60, 0, 0, 127, 1, 127, 0, 0]) + b"\0" * 12
    append_aiff(
        path,
        [
            SideChunk(b"MARK", mark, before=False),
            SideChunk(b"INST", inst, before=False),
            SideChunk(b"NAME", b"Keys!", before=False),
        ],
    )
    info = probe(path)
    assert info.frames == 4800
    kept, too_large = read_kept(path, info)
    assert ([(each.id, each.payload) for each in kept if each.id != b"FVER"], too_large) == (
        [(b"MARK", mark), (b"INST", inst), (b"NAME", b"Keys!")],
        [],
    )
    spec = output_spec(info, rate_hz=96_000)
    target = tmp_path / "out.aif"
    blocks = [(block * 2**23).astype(np.int32) for block in read_blocks(path, info)]
    with open_writer(target, spec, 4800, for_output(kept, info, spec)) as writer:
        for block in blocks:
            writer.write(block)
    raw = target.read_bytes()
    assert struct.unpack_from(">I", raw, 4)[0] == len(raw) - 8
    assert soundfile.info(target).frames == 4800
    marks = raw[raw.index(b"MARK") + 8 :]
    assert struct.unpack_from(">HHI", marks) == (2, 1, 960)
    assert struct.unpack_from(">HI", marks, 14) == (2, 4800)
    assert raw[raw.index(b"INST") + 8 :].startswith(inst)
    assert lost(kept, info, OutputSpec(container="WAV", subtype="PCM_24", rate_hz=RATE_HZ, channels=2)) == [
        "MARK",
        "INST",
        "NAME",
    ]


def test_a_file_over_four_gigabytes_keeps_its_chunks_behind_the_audio(tmp_path):
    # 4.2 GiB of holes: RF64 by hand, its cue chunk after the data.
    frames = round(4.2 * 2**30) // 6
    path = tmp_path / "long.wav"
    tail = chunk(b"cue ", cue(frames - 1 & 0xFFFFFFFF))
    head = struct.pack("<4sI4s", b"RF64", 0xFFFFFFFF, b"WAVE")
    head += chunk(b"ds64", struct.pack("<QQQI", 72 + frames * 6 + len(tail), frames * 6, frames, 0))
    head += (
        chunk(b"fmt ", struct.pack("<HHIIHH", 1, 2, RATE_HZ, RATE_HZ * 6, 6, 24)) + b"data" + struct.pack("<I", 0xFFFFFFFF)
    )
    with path.open("wb") as file:
        file.write(head)
        file.seek(len(head) + frames * 6)
        file.write(tail)
    info = probe(path)
    assert (info.frames, info.cut_short) == (frames, False)
    kept, _ = read_kept(path, info)
    assert [(each.id, each.payload, each.before) for each in kept] == [(b"cue ", cue(frames - 1), False)]
