"""What the page draws, read off its axes as a reader does, against numpy's FFT of the files and against the manifest."""

from __future__ import annotations

import json
import re

import numpy as np
import pytest
import soundfile

from stemwright.cli import main

RATE_HZ = 44_100
DRAWN = """(svg) => ({
  words: [...svg.querySelectorAll("text.tick")].map((each) =>
    [each.textContent, Number(each.getAttribute("x")), Number(each.getAttribute("y"))]),
  paths: [...svg.querySelectorAll("path")].map((each) => [each.getAttribute("class"), each.getAttribute("d")]),
})"""
BASE_LINE = 3.5  # a level's label stands so much below its line


def number(words):
    return float(words.replace("\N{MINUS SIGN}", "-"))


def hertz(words):
    value, unit = words.split()
    return float(value) * {"Hz": 1.0, "kHz": 1000.0}[unit]


class Read:
    """A plot as it stands in the page: lines in Hz and dB, by the ticks beside them."""

    def __init__(self, svg):
        drawn = svg.evaluate(DRAWN)
        self.words = drawn["words"]
        self.lines = {}
        for style, d in drawn["paths"]:
            points = np.array([[float(each) for each in pair.split(",")] for pair in re.findall(r"[-\d.]+,[-\d.]+", d)])
            if style == "bracket":  # drawn in three strokes
                self.lines[style] = np.concatenate([self.lines.get(style, points), points])
            elif len(points) > len(self.lines.get(style, ())):  # a legend's dash has the same style
                self.lines[style] = points
        ticks = [(hertz(words), x) for words, x, _ in self.words if re.fullmatch(r"[\d.]+ k?Hz", words)]
        self.hz_ticks = [tick for tick in ticks if tick[0] < 20_000.0]  # the last one is written to the left of its line

    def freq_hz(self, style):
        slope, offset = np.polyfit([x for _, x in self.hz_ticks], [np.log(hz) for hz, _ in self.hz_ticks], 1)
        return np.exp(slope * self.lines[style][:, 0] + offset)

    def level_db(self, style, above=None, below=None):
        ticks = [
            (number(words), y - BASE_LINE)
            for words, _, y in self.words
            if re.fullmatch(r"[+\N{MINUS SIGN}]?[\d.]+", words)
            and (above is None or y < above)
            and (below is None or y > below)
        ]
        slope, offset = np.polyfit([y for _, y in ticks], [db for db, _ in ticks], 1)
        return slope * self.lines[style][:, 1] + offset


def band_db(audio, freq_hz):
    """Return levels of bands a sixth of an octave wide at half their height, dB re a full-scale sine: one FFT of all of it."""
    power = (np.abs(np.fft.rfft(audio, axis=0)) ** 2).mean(axis=1) * 4.0 / len(audio) ** 2
    octaves = np.log2(np.fft.rfftfreq(len(audio), 1.0 / RATE_HZ)[1:])
    found = []
    for hz in freq_hz:
        # Half an octave away a band has fallen by 108 dB.
        low, high = np.searchsorted(octaves, np.log2(hz) + np.array([-0.5, 0.5]))
        weights = np.exp2(-((12.0 * (octaves[low:high] - np.log2(hz))) ** 2))
        found.append(10.0 * np.log10(power[1 + low : 1 + high] @ weights))
    return np.array(found)


@pytest.fixture(scope="module")
def steady(tmp_path_factory):
    """Return a song of steady noise, in which every moment has the same spectrum."""
    folder = tmp_path_factory.mktemp("steady")
    for seed, name in enumerate(("hats.wav", "piano.wav", "pad.wav")):
        noise = np.random.default_rng(seed).standard_normal((12 * RATE_HZ, 2)) * 0.05
        noise[5 * RATE_HZ : 6 * RATE_HZ] = 0.0  # so that the wave has a shape
        soundfile.write(folder / name, noise, RATE_HZ, "PCM_24")
    assert main(["prep", str(folder)]) in (0, 1)
    return folder


def sounds(folder, name):
    before, _ = soundfile.read(folder / name, always_2d=True)
    after, _ = soundfile.read(folder / "passes/pass-01/stems" / name, always_2d=True)
    return before, after


def open_stem(tab, name):
    stem = tab.locator(f"article.stem[data-name='{name}']")
    if stem.locator(".open").get_attribute("aria-expanded") == "false":
        stem.locator(".open").click()
    return stem


@pytest.mark.parametrize("name", ["hats", "piano", "pad"])
def test_drawn_spectra_and_moves_are_those_of_the_files(open_page, steady, name):
    plot = Read(open_stem(open_page(steady / "passes/pass-01/report.html"), name).locator(".plot svg.wide"))
    (below,) = (y for words, _, y in plot.words if words == "moves, dB")
    before, after = sounds(steady, f"{name}.wav")
    # Arithmetic: the page looks at the loudest moments, and of the file's twelve seconds one is silent.
    louder = 10.0 * np.log10(12.0 / 11.0)
    for style, audio in (("line received", before), ("line this", after)):
        hz, level = plot.freq_hz(style), plot.level_db(style, above=below - 1.0)
        heard = hz > 300.0  # below, a band holds too few bins of noise to be told from chance
        off = (level - band_db(audio, hz))[heard]
        assert np.abs(off - np.median(off)).max() < 1.0
        assert np.median(off) == pytest.approx(louder, abs=0.3)
    # The transfer from file to file: cross spectrum over power, in bands.
    x, y = np.fft.rfft(before[:, 0]), np.fft.rfft(after[:, 0])
    bins_hz = np.fft.rfftfreq(len(before), 1.0 / RATE_HZ)
    hz, total = plot.freq_hz("line total"), plot.level_db("line total", below=below)
    for freq, shown in zip(hz, total, strict=True):
        if freq > 100.0:
            band = slice(*np.searchsorted(bins_hz, [0.99 * freq, 1.01 * freq]))
            gain = 20.0 * np.log10(abs(np.sum(y[band] * np.conj(x[band]))) / np.sum(np.abs(x[band]) ** 2))
            assert gain <= -20.0 or shown == pytest.approx(gain, abs=0.2)


@pytest.mark.parametrize("name", ["hats", "piano"])
def test_the_drawn_wave_reaches_as_far_as_the_files_do(open_page, steady, name):
    plot = Read(open_stem(open_page(steady / "passes/pass-01/report.html"), name).locator("svg.wide").last)
    before, after = sounds(steady, f"{name}.wav")
    peak = max(np.abs(before).max(), np.abs(after).max())
    left, right, middle, height = 34.0, 750.0, 48.0, 32.0
    for style, audio in (("wave", before), ("wave after", after)):
        points = plot.lines[style]
        upper = points[: len(points) // 2]
        for x, y in upper[::20]:
            at = (x - left) / (right - left) * len(audio)
            near = audio[int(max(at - len(audio) / 200, 0)) : int(at + len(audio) / 200)]
            reach = (middle - y) / height * peak
            assert 0.5 * near.max() < reach < near.max() * 1.02 + 0.02 * peak
        assert (middle - points[:, 1].min()) / height * peak == pytest.approx(audio.max(), abs=0.015 * peak)
        assert (points[:, 1].max() - middle) / height * peak == pytest.approx(-audio.min(), abs=0.015 * peak)


def test_a_drawn_ring_is_that_of_the_files_and_its_bracket_that_of_the_manifest(open_page, demo_beat):
    song = demo_beat
    manifest = json.loads((song / "passes/pass-01/manifest.json").read_text(encoding="utf-8"))
    (stem,) = (each for each in manifest["stems"] if any(move.get("found") for move in each["moves"]))
    (notch,) = (move for move in stem["moves"] if move.get("found"))
    tab = open_page(song / "passes/pass-01/report.html")
    article = open_stem(tab, stem["stem"].removesuffix(".wav"))
    figure = article.locator(".ring:not(.offered)")
    assert f"stands out by {notch['found']['excess_db']:.1f} dB" in figure.inner_text()
    assert f"certain to {100 * notch['found']['confidence']:.0f} %" in figure.inner_text()
    plot = Read(figure.locator("svg.close"))
    bracket = plot.level_db("bracket")
    assert np.ptp(bracket) == pytest.approx(notch["found"]["excess_db"], abs=0.15)
    freq_hz = notch["freq_hz"]
    before, _ = soundfile.read(song / stem["input"]["path"], always_2d=True)
    after, _ = soundfile.read(song / "passes/pass-01/stems" / stem["output"]["path"], always_2d=True)
    hz = plot.freq_hz("line received")
    change = plot.level_db("line this") - plot.level_db("line received")
    at = int(np.argmin(np.abs(hz - freq_hz)))
    bins_hz = np.fft.rfftfreq(len(before), 1.0 / 48_000)
    near = np.abs(bins_hz - freq_hz) < 6.0
    power = [np.sum(np.abs(np.fft.rfft(audio[:, 0])[near]) ** 2) for audio in (before, after)]
    assert change[at] == pytest.approx(10.0 * np.log10(power[1] / power[0]), abs=0.8)
    assert change[at] < -2.0
    assert abs(change[0]) < 1.0
