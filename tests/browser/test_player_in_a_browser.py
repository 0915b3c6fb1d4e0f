"""The player in a real browser: one start, one loudness, switching without a click, and a blind mode that keeps its secret."""

from __future__ import annotations

import base64
import io

import numpy as np
import pyebur128
import pytest
import soundfile

# Wires the page's own player into an offline context at the clips' rate and returns what would be heard, as float32.
RENDER = """async ([id, steps]) => {
  const page = globalThis.stemwrightPage;
  const probe = new OfflineAudioContext(2, 128, %d);
  const buffers = await page.decode(probe, id);
  const frames = Math.max(...[...buffers.values()].map((each) => each.length));
  const context = new OfflineAudioContext(2, frames, %d);
  const wired = page.wire(context, buffers, context.destination, 0, false);
  for (const [side, seconds] of steps) {
    if (seconds === 0) wired.gains.get(side).gain.value = 1;
    else context.suspend(seconds).then(() => { page.switchTo(wired, side, context.currentTime); context.resume(); });
  }
  const heard = await context.startRendering();
  const bytes = new Uint8Array(heard.getChannelData(0).length * 8);
  new Float32Array(bytes.buffer, 0, heard.length).set(heard.getChannelData(0));
  new Float32Array(bytes.buffer, heard.length * 4).set(heard.getChannelData(1));
  let text = "";
  for (let at = 0; at < bytes.length; at += 32768) text += String.fromCharCode(...bytes.subarray(at, at + 32768));
  return btoa(text);
}"""
RATE_HZ = 44_100
STEP = 2.0**-15  # Chromium makes the highest 16-bit word 1.0, libsndfile one step less: no sample is further apart


@pytest.fixture
def second(song):
    return song / "passes/pass-02/report.html"


def rendered(tab, player, *steps):
    data = np.frombuffer(
        base64.b64decode(tab.evaluate(RENDER % (RATE_HZ, RATE_HZ), [player, [list(step) for step in steps]])), "<f4"
    )
    return data.reshape(2, -1).T.astype(np.float64)


def clip(tab, player, side):
    text = tab.evaluate(
        "([id, side]) => document.querySelector(`script[data-of=${id}][data-clip=${side}]`).textContent", [player, side]
    )
    audio, rate_hz = soundfile.read(io.BytesIO(base64.b64decode(text)), always_2d=True)
    assert rate_hz == RATE_HZ
    return audio


def stem_id(tab, name):
    return tab.locator("article", has=tab.get_by_role("heading", name=name, exact=True)).get_attribute("id")


def lufs(audio):
    meter = pyebur128.R128State(audio.shape[1], RATE_HZ, pyebur128.MeasurementMode.MODE_I)
    meter.add_frames(np.ascontiguousarray(audio).reshape(-1), len(audio))
    return pyebur128.get_loudness_global(meter)


@pytest.mark.parametrize("name", ["beat", "hats.wav", "piano.wav"])
def test_positions_start_on_the_same_sample_and_are_as_loud(open_page, second, name):
    # Oracle: libsndfile's decoding of the same clips, sample by sample from the first one on; pyebur128 for loudness.
    tab = open_page(second)
    player = name if name == "beat" else stem_id(tab, name)
    sides = tab.evaluate("(id) => stemwrightPage.clips(id).map((each) => each.dataset.clip)", player)
    assert len(sides) == (2 if name == "hats.wav" else 3)
    levels = []
    for side in sides:
        heard, expected = rendered(tab, player, (side, 0)), clip(tab, player, side)
        assert len(heard) == len(expected)
        assert np.abs(heard - expected).max() < STEP
        levels.append(lufs(heard))
    assert max(levels) - min(levels) < 0.1


def test_the_difference_is_one_position_minus_the_other(open_page, second):
    # Arithmetic; the difference of two clips has twice the room of one.
    tab = open_page(second)
    player = stem_id(tab, "piano.wav")
    for other in ("received", "that"):
        expected = clip(tab, player, "this") - clip(tab, player, other)
        assert np.abs(rendered(tab, player, (f"this-{other}", 0)) - expected).max() < 2 * STEP


def test_switching_moves_from_one_position_to_the_other_without_a_gap_or_a_click(open_page, second):
    # Property: between the two, what is heard is always a mean of both, and it is the new one after 8 ms.
    tab = open_page(second)
    player = stem_id(tab, "piano.wav")
    heard = rendered(tab, player, ("received", 0), ("this", 1.0))
    old, new = clip(tab, player, "received"), clip(tab, player, "this")
    start = RATE_HZ - 200  # a context can only be stopped at a whole block of 128 frames
    end = round(1.008 * RATE_HZ) + 200
    assert np.abs(heard[:start] - old[:start]).max() < STEP
    assert np.abs(heard[end:] - new[end:]).max() < STEP
    low, high = np.minimum(old, new)[start:end], np.maximum(old, new)[start:end]
    assert (heard[start:end] > low - STEP).all()
    assert (heard[start:end] < high + STEP).all()


def test_a_sound_too_short_for_loudness_says_how_it_was_matched(open_page, second):
    tab = open_page(second)
    player = tab.locator(f"#{stem_id(tab, 'clap.wav')} .player")
    assert "matched by RMS (too short or too quiet for BS.1770)" in player.inner_text()


def test_it_starts_low_and_plays_one_thing_at_a_time(open_page, second):
    tab = open_page(second)
    assert tab.get_by_role("slider", name="Volume").get_attribute("aria-valuetext") == "\N{MINUS SIGN}24 dB"
    plays = tab.locator(".play")
    for number in (0, 1, 2):
        plays.nth(number).click()
        tab.wait_for_function("(n) => document.querySelectorAll('.play')[n].textContent === 'Stop'", arg=number)
        assert tab.locator(".play[aria-pressed=true]").count() == 1
    tab.wait_for_function("() => [...document.querySelectorAll('.done')].some((each) => parseFloat(each.style.width) > 0)")
    plays.nth(2).click()
    assert tab.locator(".play[aria-pressed=true]").count() == 0


def test_all_of_it_works_by_keys(open_page, second):
    tab = open_page(second)
    beat = tab.locator(".beat")
    tab.keyboard.press("p")
    tab.wait_for_function("() => document.querySelector('.beat .play').textContent === 'Stop'")
    for key, position in (("3", "pass-02"), ("2", "pass-01"), ("d", "difference to received"), ("1", "received")):
        tab.keyboard.press(key)
        assert beat.locator(".positions [aria-pressed=true]").all_inner_texts() == [position]
    tab.keyboard.press("j")
    tab.wait_for_function("() => document.querySelector('#s1 .play').textContent === 'Stop'")
    assert tab.locator(".play[aria-pressed=true]").count() == 1
    tab.keyboard.press("p")
    assert tab.locator(".play[aria-pressed=true]").count() == 0
    tab.keyboard.press("k")
    assert tab.evaluate("() => document.activeElement.closest('.beat') !== null")


def test_keys_can_be_switched_off_and_do_not_disturb_typing(open_page, second):
    tab = open_page(second)
    tab.locator("#find").press_sequentially("pad2")
    assert tab.locator("#find").input_value() == "pad2"
    assert tab.locator(".play[aria-pressed=true]").count() == 0
    tab.locator("#keys").uncheck()
    tab.locator("body").press("2")
    assert tab.locator(".beat .positions [aria-pressed=true]").inner_text() == "received"


def test_blind_mode_says_nothing_before_the_choice_and_all_of_it_after(open_page, second):
    # Property: whatever the draw, the page is the same until the answer; with 12 draws of six orders, one draw alone has a
    # chance of 6 in 6^12.
    tab = open_page(second)
    tab.locator(".beat .play").click()
    tab.wait_for_function("() => document.querySelector('.beat .play').textContent === 'Stop'")
    tab.locator(".beat .blind").click()
    pages, truths = set(), set()
    for _ in range(12):
        tab.keyboard.press("2")
        tab.keyboard.press("3")
        pages.add(
            tab.evaluate("""() => {
          const copy = document.querySelector(".beat").cloneNode(true);
          for (const part of copy.querySelectorAll(".done, script")) part.remove();
          return copy.outerHTML;
        }""")
        )
        tab.locator(".beat .guess").get_by_role("button", name="X is").click()
        told = tab.locator(".beat .guess [role=status]").inner_text()
        truths.add(told.split(": ", 1)[1].split(".")[0])
        assert ("X was pass-02" in told) == told.startswith("Right")
        tab.get_by_role("button", name="Again").click()
    assert len(pages) == 1
    assert len(truths) > 1


def test_blind_mode_plays_what_it_reveals(open_page, second):
    # The gains the player sets are watched from outside: the one at 1 when X is pressed must be the one X turns out to be.
    tab = open_page(second)
    tab.evaluate("""() => {
      const page = stemwrightPage, before = page.switchTo;
      globalThis.asked = [];
      page.switchTo = (wired, side, time) => { globalThis.asked.push(side); before(wired, side, time); };
    }""")
    player = tab.locator(f"#{stem_id(tab, 'hats.wav')} .player")
    player.locator(".play").click()
    tab.wait_for_function("() => document.querySelector('.play[aria-pressed=true]')")
    player.locator(".blind").click()
    player.locator("[data-letter=X]").click()
    side = tab.evaluate("() => asked.at(-1)")
    player.get_by_role("button", name="X is").click()
    name = {"received": "received", "this": "pass-02"}[side]
    assert f"X was {name}" in player.locator("[role=status]").first.inner_text()
