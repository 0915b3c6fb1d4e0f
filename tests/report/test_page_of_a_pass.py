"""The page as a file: complete, self-contained, harmless, honest about what it could not show."""

from __future__ import annotations

import base64
import hashlib
import json
import os
import re

import numpy as np
import pytest
import soundfile
from scipy.signal import iirpeak, lfilter

from stemwright.dsp.overview import overview_of
from stemwright.errors import SongError
from stemwright.passes import prep
from stemwright.passes.look import look
from stemwright.passes.make import Maker
from stemwright.passes.manifest_file import read_manifest
from stemwright.passes.song import open_song
from stemwright.passes.verify import verify
from stemwright.report import PageOptions, overviews_of, write_page
from stemwright.report.arrived import findings_of
from stemwright.report.png import file_name
from stemwright.report.template import neat
from stemwright.stems.findings import Finding

EVIL = "<img src=x onerror=alert(1)>.wav"
SILENT_PAGE = PageOptions(audio=None)


def test_what_came_from_outside_is_text(make_song, make_page):
    notes = "stems:\n  'piano.wav': {leave: '</script><script>alert(2)</script>'}\n"
    _, text = make_page(make_song({EVIL: None, "piano.wav": None}, notes))
    assert "<img" not in text
    assert "&lt;img src=x onerror=alert(1)&gt;.wav" in text
    assert "<script>alert(2)" not in text


def test_the_policy_lets_in_the_pages_own_script_and_style_and_nothing_else(make_song, make_page):
    _, text = make_page(make_song({"piano.wav": None}), SILENT_PAGE)
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text)[1]
    for kind, tag in (("script-src", "script"), ("style-src", "style")):
        inside = re.search(rf"<{tag}>(.*?)</{tag}>", text, re.DOTALL)[1]
        digest = base64.b64encode(hashlib.sha256(inside.encode()).digest()).decode()
        assert f"{kind} 'sha256-{digest}'" in policy
    assert policy.startswith("default-src 'none'; ")
    assert "unsafe" not in policy


def test_nothing_on_the_page_points_outside(make_song, make_page):
    _, text = make_page(make_song({"piano.wav": None, "hats.wav": None}))
    assert not re.search(r"(?:src|href|action|srcset)=\"(?!#)|url\(|https?://|@import", text)
    assert " style=" not in text


def test_no_machine_is_named_on_the_page(make_song, make_page):
    song = make_song({"piano.wav": None})
    _, text = make_page(song, SILENT_PAGE)
    manifest = json.loads((song / "passes/pass-01/manifest.json").read_text())
    assert str(song) not in text
    assert not re.search(rf"\b{re.escape(manifest['made_at']['host'])}\b", text)


def test_the_page_does_not_disturb_verify(make_song, make_page, executor):
    song = make_song({"piano.wav": None, EVIL: None})
    make_page(song)
    assert verify(open_song(song), "pass-01", executor).good


def test_a_stem_that_is_gone_is_said_and_the_others_are_shown(make_song, make_pass, executor):
    song = make_song({"piano.wav": None, "hats.wav": None})
    make_pass(song)
    opened = open_song(song)
    (song / "piano.wav").unlink()
    written = write_page(opened, "pass-01", executor)
    assert written.problems == (("piano.wav", "piano.wav is no longer there"),)
    assert written.audio_bytes > 0


def test_a_file_that_is_not_the_pass_s_is_not_shown_for_it(make_song, make_pass, executor):
    song = make_song({"piano.wav": None, "hats.wav": None})
    make_pass(song)
    (song / "hats.wav").write_bytes((song / "piano.wav").read_bytes())
    written = write_page(open_song(song), "pass-01", executor, PageOptions(check=True))
    assert written.problems == (("hats.wav", "hats.wav: not the file this pass was made with or wrote"),)


def test_a_stem_that_became_a_link_out_of_the_song_is_neither_shown_nor_heard(make_song, make_pass, executor, tmp_path):
    song = make_song({"piano.wav": None, "hats.wav": None})
    make_pass(song)
    (song / "hats.wav").rename(tmp_path / "elsewhere.wav")
    (song / "hats.wav").symlink_to(tmp_path / "elsewhere.wav")
    opened = open_song(song)
    written = write_page(opened, "pass-01", executor, PageOptions(check=True))
    assert written.problems == (("hats.wav", "hats.wav: a link that leads out of the song's folder"),)
    heard: list[str] = []
    findings_of(opened, read_manifest(song / "passes/pass-01"), _Noting(executor, heard))
    assert heard == ["piano.wav"]


class _Noting:
    """An executor that notes which stems it was given."""

    def __init__(self, executor, heard):
        self._executor, self._heard = executor, heard

    def submit(self, work, stem, *more, **named):
        self._heard.append(stem)
        return self._executor.submit(work, stem, *more, **named)


def test_a_page_that_cannot_be_written_leaves_the_old_one(make_song, make_page, executor, monkeypatch):
    song = make_song({"piano.wav": None})
    written, text = make_page(song, SILENT_PAGE)

    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    said = r"pass-01/report.html: cannot be written \(No space left on device\)"
    with pytest.raises(SongError, match=said):
        write_page(open_song(song), "pass-01", executor, SILENT_PAGE)
    assert written.path.read_text(encoding="utf-8") == text
    assert sorted(path.name for path in written.path.parent.iterdir()) == ["manifest.json", "report.html", "stems"]


def test_a_pass_is_not_compared_with_itself(make_song, make_pass, executor):
    song = make_song({"piano.wav": None})
    make_pass(song)
    with pytest.raises(SongError, match="pass-01 cannot be compared with itself; give another pass"):
        write_page(open_song(song), "pass-01", executor, PageOptions(since="1"))


def test_without_audio_sixteen_stems_stay_under_5_mb(make_song, make_page):
    # The size asked for: about 5 MB beside the audio.
    stems = {f"piano {number}.wav": None for number in range(16)}
    written, _ = make_page(make_song(stems), SILENT_PAGE)
    assert written.audio_bytes == 0
    assert written.size_bytes < 5e6


def test_sizes_are_the_files(make_song, make_page):
    written, text = make_page(make_song({"piano.wav": None, "hats.wav": None}))
    clips = re.findall(r'class="clip"[^>]*>([^<]+)<', text)
    assert written.size_bytes == written.path.stat().st_size
    assert written.audio_bytes == sum(len(clip) for clip in clips)
    assert len(clips) == 8  # received, this, what changed and null, of each stem


def test_a_stem_left_as_received_has_one_position(make_song, make_page):
    _, text = make_page(make_song({"piano.wav": None}, "stems: {piano.wav: {leave: it is fine}}\n"))
    assert re.findall(r'data-clip="([^"]+)"', text) == ["received"]


def test_findings_are_on_the_page(make_song, make_page):
    finding = Finding(id="odd", severity="warn", stem="piano.wav", measured="it is <odd>", why="a test", do="nothing")
    _, text = make_page(make_song({"piano.wav": None}), SILENT_PAGE, [finding])
    assert "warn: odd" in text
    assert "it is &lt;odd&gt;" in text


def test_a_second_pass_shows_what_changed_and_what_is_the_same_bytes(make_song, make_page):
    song = make_song({"piano.wav": None, "hats.wav": None}, "song: Tin & roof\n")
    make_page(song)
    sheet = "song: Tin & roof\nstems: {piano.wav: {leave: it was better before}}\n"
    (song / "session.yaml").write_text(sheet, encoding="utf-8")
    _, text = make_page(song)
    assert "<h1>Tin &amp; roof</h1>" in text
    assert "1 stem is the same bytes" in text
    assert re.findall(r'article class="stem" id="(s\d)"', text) == ["s2", "s1"]  # what changed comes first
    # The hats sound as before and have two positions; the piano has three, though it is as received now.
    clips = re.findall(r'data-of="(s\d)" data-clip="(received|this|that)"', text)
    assert clips == [("s1", "received"), ("s1", "this"), ("s2", "received"), ("s2", "this"), ("s2", "that")]


def test_a_recall_says_how_many_are_identical_and_is_heard_against_the_pass_it_left(
    make_song, make_page, make_note, make_recall, executor
):
    song = make_song({"piano.wav": None, "hats.wav": None})
    make_page(song)
    make_note(song, "piano: brighter")
    make_recall(song, "1")
    text = write_page(open_song(song), "pass-03", executor).path.read_text(encoding="utf-8")
    assert "pass-01 again: 2 of 2 identical" in text
    assert "against pass-02: changed: piano" in text


def test_the_sheet_has_every_move_of_every_stem(make_song, make_page):
    song = make_song({"piano.wav": None, "hats.wav": None})
    _, text = make_page(song, SILENT_PAGE)
    sheet = text[text.index('id="sheet-title"') :]
    stems = json.loads((song / "passes/pass-01/manifest.json").read_text())["stems"]
    assert sheet.count('class="setting"') == sum(len(stem["moves"]) for stem in stems) > 3
    assert "HP 250 Hz 12" in sheet


def test_covered_places_and_a_ride_are_drawn_where_there_are_any(make_song, make_page, make_note, noise):
    # A voice of four syllables a second over quiet keys, a guitar over it from 6 to 8 s, and one phrase 8 dB under the others.
    seconds, rate_hz = 16.0, 48_000
    t = np.arange(round(seconds * rate_hz))[:, np.newaxis] / rate_hz
    voice = noise(seconds=seconds, channels=1, seed=1) * (0.55 + 0.45 * np.sin(2 * np.pi * 4.0 * t))
    voice[(t >= 10.0) & (t < 12.0)] *= 0.4
    voice[(t % 4.0) > 3.2] = 0.0
    cover = np.where((t >= 6.0) & (t < 7.2), 0.9, 0.0) * noise(seconds=seconds, channels=1, seed=3)
    keys = noise(seconds=seconds, channels=1, seed=2) * 0.1
    song = make_song({"lead vocal.wav": voice, "guitar.wav": cover, "keys.wav": keys})
    _, before = make_page(song, SILENT_PAGE)
    assert "Where stems are covered" not in before
    assert 'class="line ride"' not in before
    make_note(song, "ride the vocal")  # listens to all stems, so that what covers what is known
    _, text = make_page(song, SILENT_PAGE)
    (place,) = re.findall(r"<li>([^<]*)<b>lead vocal</b> by guitar,", text)
    assert [float(each) for each in re.findall(r"0:0(\d+(?:\.\d+)?)", place)] == pytest.approx([6.0, 7.2], abs=0.5)
    assert text.count('class="line ride"') == 2  # one in each width
    # A bar under the voice's wave, in two widths, where the place lies: the wide plot is 760 units, 34 of them before 0 s, 10 behind.
    bars = re.findall(r'<rect[^>]*class="covered"[^>]*>', text)
    assert len(bars) == 2
    start, width = (float(re.search(rf'{side}="([\d.]+)"', bars[0])[1]) for side in ("x", "width"))
    assert ((start - 34.0) / 716.0 * seconds, width / 716.0 * seconds) == pytest.approx((6.0, 1.2), abs=0.3)


def test_plots_are_written_as_png_under_harmless_names(make_song, make_page, tmp_path):
    song = make_song({"piano.wav": None, "sub/hats.wav": None, EVIL: None})
    written, _ = make_page(song, PageOptions(audio=None, png=tmp_path / "plots"))
    found = sorted(path.name for path in (tmp_path / "plots").iterdir())
    assert written.pictures == 3
    assert found == ["01 _img src_x onerror_alert(1)_.wav.png", "02 piano.wav.png", "03 sub - hats.wav.png"]
    # PNG's signature: ISO/IEC 15948, 5.2.
    assert all((tmp_path / "plots" / name).read_bytes().startswith(b"\x89PNG\r\n\x1a\n") for name in found)


def test_no_name_leaves_the_folder_of_the_plots():
    assert file_name("../../etc/passwd") == "- .. - etc - passwd"
    assert file_name("...") == "stem"


def test_minus_signs_and_no_changed_words():
    assert neat("bell 3 kHz -1.5 dB, pass-01, 2-3, 0 -> -2 dB") == "bell 3 kHz −1.5 dB, pass-01, 2-3, 0 → −2 dB"  # noqa: RUF001


RUNG = """
recipe: rung
version: 1
about: A stem that rings.
stems: {names: [rung]}
moves:
  - rings: {from: 1 kHz, to: 8 kHz, at_most: 1, take: 50 %, deepest: 24 dB, verdict: offered}
    name: ring
    why: one frequency stands out
"""


def test_a_ring_that_is_only_offered_is_shown_close_up_with_the_words_that_take_it(make_song, make_page):
    rate_hz, freq_hz = 48_000, 3_000.0
    noise = np.random.default_rng(3).standard_normal((8 * rate_hz, 1)) * 0.03
    noise *= 0.3 + np.exp(-5.0 * (np.arange(len(noise)) / rate_hz * 2.0 % 1.0))[:, None]
    rung = noise + 3.0 * lfilter(*iirpeak(freq_hz, 30.0, fs=rate_hz), noise, axis=0)  # +12 dB: a bell by its definition
    song = make_song({"rung.wav": rung})
    (song / "recipes").mkdir()
    (song / "recipes" / "rung.yaml").write_text(RUNG)
    _, text = make_page(song, SILENT_PAGE)
    (figure,) = re.findall(r'<figure class="ring offered".*?</figure>', text, re.DOTALL)
    words = re.search(r"say: <code>(.+?)</code>", figure)[1]
    assert re.fullmatch(
        r"&#34;rung\.wav&#34;: notch (2\.99|3|3\.01)\S* kHz .\d\S* dB q \d+", words.replace("&quot;", "&#34;")
    )


RECIPE = """\
recipe: {name}
about: Only for this test.
family: music
stems: {{names: [{name}]}}
moves:
  - {move}
    why: it may go over full scale
"""


@pytest.mark.parametrize("subtype", ["PCM_U8", "PCM_16", "PCM_24", "FLOAT"])
def test_what_the_run_has_seen_on_the_way_is_what_the_files_show(make_song, executor, noise, subtype):
    loud = noise(3.0) * 3.0
    song = make_song(
        {"zq.wav": loud, "yq.wav": np.clip(noise(2.0, 1, 1) * 5.0, -1.0, 1.0), "xq.wav": None, "wq.wav": noise(0.001)},
        "deliver: {rate: 44.1 kHz}\nstems:\n  xq.wav: {leave: as it is}\n",
        subtype=subtype,
    )
    (song / "recipes").mkdir()
    moves = {"zq": "bell: {freq: 1 kHz, gain: 9 dB}", "wq": "gain: 3 dB", "yq": "high_pass: {freq: 90 Hz, phase: linear}"}
    for name, move in moves.items():
        (song / "recipes" / f"{name}.yaml").write_text(RECIPE.format(name=name, move=move))
    seen = look(song, executor, hashed=True)
    made = prep.prep(seen, prep.plan(seen, executor), Maker(executor))
    overviews = overviews_of(made, seen.facts)
    assert [sorted(sides) for sides in overviews.values()] == 4 * [["received", "this"]]
    opened = open_song(song)
    pages = [
        write_page(opened, "pass-01", executor, SILENT_PAGE, manifest=made.manifest, overviews=given).path.read_bytes()
        for given in (overviews, None)
    ]
    assert pages[0] == pages[1]
    for stem, sides in overviews.items():
        output = made.manifest.entries[stem].output
        for side, found in sides.items():
            path = song / stem if side == "received" else song / "passes/pass-01/stems" / output.path
            audio, rate_hz = soundfile.read(path, always_2d=True)
            again = overview_of([audio], len(audio), rate_hz)
            assert found.lows.tolist() == again.lows.tolist()
            assert found.highs.tolist() == again.highs.tolist()
            assert found.swings.tolist() == again.swings.tolist()
            assert found.clipped == again.clipped
