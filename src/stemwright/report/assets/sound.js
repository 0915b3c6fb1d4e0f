"use strict";
/* Sound: clips to buffers, and a graph in which every stem runs from one start; what is heard is only a matter of gains. */
(() => {
  const page = (globalThis.stemwrightPage = {});
  const told = document.getElementById("sound");
  const sound = told && JSON.parse(told.textContent);
  if (!sound) return;
  const FADE_S = 0.008;
  const linear = (db) => 10 ** (db / 20);
  page.sound = sound;
  page.ids = Object.keys(sound.stems);

  const found = new Map();
  for (const clip of document.querySelectorAll("script.clip")) found.set(`${clip.dataset.of} ${clip.dataset.clip} ${clip.dataset.in}`, clip);
  page.clip = (id, side, excerpt) => found.get(`${id} ${side} ${excerpt}`);
  const bytes = (clip) => Uint8Array.from(atob(clip.textContent.trim()), (char) => char.charCodeAt(0)).buffer;

  /* The side a stem sounds as: what is not there is the same bytes as the next; a difference that is not there is silence. */
  page.sides = (id) => sound.stems[id].sides ??= Object.keys(sound.stems[id].gains[0]);
  page.heardAs = (id, side) => {
    if (side === "changed" || side === "null") return side;
    const there = page.sides(id);
    if (there.includes(side)) return side;
    return side === "that" && there.includes("this") ? "this" : "received";
  };

  const decoded = new Map();
  const decoder = () => (page.decoder ??= new OfflineAudioContext(2, 128, sound.rate));
  page.decode = (id, side, excerpt) => {
    const key = `${id} ${side} ${excerpt}`;
    if (!found.has(key)) return Promise.resolve(null);
    if (!decoded.has(key)) decoded.set(key, decoder().decodeAudioData(bytes(found.get(key))));
    return decoded.get(key);
  };
  page.forget = (excerpt) => {
    for (const key of decoded.keys()) if (!key.endsWith(` ${excerpt}`)) decoded.delete(key);
  };
  /* Everything that a position and the stems' own positions need, decoded: a map of id to a map of side to buffer. */
  page.load = async (excerpt, sides, own = new Map()) => {
    const wanted = page.ids.flatMap((id) => [...new Set([...sides, ...(own.has(id) ? [own.get(id)] : [])].map((side) => page.heardAs(id, side)))].map((side) => [id, side]));
    const buffers = await Promise.all(wanted.map(([id, side]) => page.decode(id, side, excerpt)));
    return wanted.map(([id, side], at) => [id, side, buffers[at]]).filter(([, , buffer]) => buffer);
  };

  /* How loud each stem's side is: a stem alone is matched to itself, several together as the beat is. */
  page.level = (id, side, state) => {
    const audible = state.solo.size ? state.solo.has(id) : !state.mute.has(id);
    if (!audible || page.heardAs(id, state.own.get(id) ?? state.side) !== side) return 0;
    const match = (gains, wanted) => gains[wanted] ?? gains.this ?? gains.received ?? 0;
    const position = state.own.get(id) ?? state.side;
    const alone = state.solo.size === 1;
    const db = alone ? match(sound.stems[id].gains[state.excerpt], page.heardAs(id, position)) : match(sound.gains[state.excerpt], state.side);
    return linear(db - sound.stems[id].scale);
  };

  class Graph {
    constructor(context, target, seconds, loop) {
      Object.assign(this, { context, target, seconds, loop, parts: new Map() });
      this.frames = Math.round(seconds * context.sampleRate);
    }
    start(when, offset) {
      this.when = when;
      this.offset = Math.round(offset * this.context.sampleRate);
    }
    /* Adds what is not running yet, in step with what is: whole frames only, so that nothing lies between samples. */
    add(buffers, state, now) {
      const rate = this.context.sampleRate;
      const first = Math.round(this.when * rate);
      const frame = Math.max(first, Math.ceil((now + 0.03) * rate));
      const at = (this.offset + frame - first) % this.frames;
      for (const [id, side, buffer] of buffers) {
        const key = `${id} ${side}`;
        if (this.parts.has(key)) continue;
        const source = new AudioBufferSourceNode(this.context, { buffer, loop: this.loop, loopStart: 0, loopEnd: this.frames / rate });
        const gain = new GainNode(this.context, { gain: frame === first ? page.level(id, side, state) : 0 });
        source.connect(gain).connect(this.target);
        source.start(frame / rate, at / rate);
        this.parts.set(key, { id, side, source, gain });
      }
    }
    set(state, time) {
      for (const { id, side, gain } of this.parts.values()) {
        gain.gain.cancelScheduledValues(time);
        gain.gain.setValueAtTime(gain.gain.value, time);
        gain.gain.linearRampToValueAtTime(page.level(id, side, state), time + FADE_S);
      }
    }
    stop(time) {
      for (const { source, gain } of this.parts.values()) {
        gain.gain.cancelScheduledValues(time);
        gain.gain.setValueAtTime(gain.gain.value, time);
        gain.gain.linearRampToValueAtTime(0, time + FADE_S);
        source.stop(time + 2 * FADE_S);
      }
    }
    place(time) {
      const past = this.offset / this.context.sampleRate + Math.max(time - this.when, 0);
      return this.loop ? past % this.seconds : Math.min(past, this.seconds);
    }
  }
  page.Graph = Graph;

  /* What would be heard, without a device: for those who check. `steps` are [seconds, change of the state]. */
  page.render = async (asked, steps = [], sides = []) => {
    const state = { excerpt: 0, side: "this", solo: new Set(), mute: new Set(), own: new Map(), ...asked };
    const { seconds } = sound.excerpts[state.excerpt];
    const context = new OfflineAudioContext(2, Math.round(seconds * sound.rate), sound.rate);
    const graph = new Graph(context, context.destination, seconds, false);
    graph.start(0, 0);
    graph.add(await page.load(state.excerpt, [state.side, ...sides], state.own), state, -1);
    for (const [at, change] of steps) {
      context.suspend(at).then(() => {
        Object.assign(state, change);
        graph.set(state, context.currentTime);
        context.resume();
      });
    }
    return context.startRendering();
  };
})();
