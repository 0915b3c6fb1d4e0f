/* Transport: one for the beat and its stems; play, positions, place, loop, solo, mute, each stem's own before and after. */
(() => {
  const page = globalThis.stemwrightPage;
  const bar = document.getElementById("transport");
  if (!page.sound || !bar) return;
  const { sound } = page;
  const $ = (id) => document.getElementById(id);
  const press = (button, down) => button.setAttribute("aria-pressed", String(down));
  const state = (page.state = { excerpt: 0, side: "this", solo: new Set(), mute: new Set(), own: new Map() });
  const play = $("play"), seek = $("seek"), volume = $("volume"), status = $("status");
  let context = null, master = null, graph = null, turn = 0, resting = 0;
  bar.hidden = false;

  const say = (text) => { if (status.textContent !== text) status.textContent = text; };
  const seconds = () => sound.excerpts[state.excerpt].seconds;
  const wanted = () => (page.ids.length > 24 ? [state.side] : [...new Set([state.side, sound.before, "this"])]);
  const clock = (at) => `${Math.floor(at / 60)}:${String(Math.floor(at % 60)).padStart(2, "0")}`;

  const setVolume = () => {
    const db = Number(volume.value);
    const words = db <= -60 ? "off" : `${db} dB`.replace("-", "\u2212");
    volume.setAttribute("aria-valuetext", words);
    $("volume-words").textContent = words;
    if (master) master.gain.setTargetAtTime(db <= -60 ? 0 : 10 ** (db / 20), context.currentTime, 0.02);
  };
  volume.value = String(sound.start);
  volume.addEventListener("input", setVolume);
  setVolume();

  const open = () => {
    if (context) return;
    context = new AudioContext({ latencyHint: "interactive", sampleRate: sound.rate });
    master = new GainNode(context, { gain: 0 });
    master.connect(context.destination);
    setVolume();
  };
  const begin = async (at) => {
    const mine = ++turn;
    try {
      open();
      const running = context.resume();
      const waiting = setTimeout(() => say("Loading the excerpt."), 120);
      const buffers = await page.load(state.excerpt, wanted(), state.own);
      clearTimeout(waiting);
      if (mine !== turn) return;
      const slow = setTimeout(() => { if (mine === turn) say("No sound yet: the browser found no audio device, or holds it back. Press Play again once there is one."); }, 1200);
      await running;
      clearTimeout(slow);
      if (mine !== turn) return;
      if (graph) graph.stop(context.currentTime);
      graph = new page.Graph(context, master, seconds(), $("loop").checked);
      graph.start(Math.ceil((context.currentTime + 0.04) * sound.rate) / sound.rate, at);
      graph.add(buffers, state, context.currentTime);
      say("");
      shown();
      follow();
    } catch (error) {
      clearTimeout(0);
      say(`This browser cannot play the excerpt (${error.message || error}).`);
    }
  };
  const stop = () => {
    turn += 1;
    if (!graph) return;
    resting = graph.place(context.currentTime);
    graph.stop(context.currentTime);
    graph = null;
    shown();
  };
  /* After any change: what is missing is decoded and joins in step, then the gains move. */
  page.apply = async () => {
    shown();
    if (!graph) return;
    const mine = graph, buffers = await page.load(state.excerpt, wanted(), state.own);
    if (graph !== mine) return;
    mine.add(buffers, state, context.currentTime);
    const added = context.currentTime;
    mine.set(state, Math.max(added, mine.when));
  };
  page.playing = () => graph !== null;
  page.toggle = () => (graph ? stop() : begin(resting >= seconds() - 0.01 ? 0 : resting));
  page.output = () => { open(); return { context, master }; };
  page.stop = stop;

  const shown = () => {
    play.textContent = graph ? "Stop" : "Play";
    press(play, graph !== null);
    for (const button of bar.querySelectorAll("[data-side]")) press(button, !page.blind && button.dataset.side === state.side);
    for (const row of document.querySelectorAll("article.stem")) {
      const { id } = row;
      for (const button of row.querySelectorAll("[data-do]")) {
        const on = { solo: state.solo.has(id), mute: state.mute.has(id) }[button.dataset.do] ?? state.own.get(id) === button.dataset.do;
        press(button, on);
      }
      const silent = state.solo.size ? !state.solo.has(id) : state.mute.has(id);
      row.classList.toggle("silent", silent);
    }
    const names = [...state.solo].map((id) => document.getElementById(id)?.dataset.name);
    $("heard").textContent = names.length ? `${names.join(", ")} alone` : state.mute.size ? `the beat without ${[...state.mute].map((id) => document.getElementById(id)?.dataset.name).join(", ")}` : "the beat";
    $("clear").hidden = !state.solo.size && !state.mute.size && !state.own.size;
    for (const svg of document.querySelectorAll(".strip svg")) {
      svg.querySelectorAll(".excerpt").forEach((box, at) => box.classList.toggle("chosen", at === state.excerpt));
    }
    where(graph ? graph.place(context.currentTime) : resting);
  };
  const where = (at) => {
    if (document.activeElement !== seek || !seek.matches(":active")) seek.value = String(at);
    const song = sound.excerpts[state.excerpt].start + at;
    seek.setAttribute("aria-valuetext", `${at.toFixed(1)} of ${seconds().toFixed(1)} seconds`);
    $("time").textContent = clock(song);
    const all = Number(bar.dataset.seconds);
    for (const svg of document.querySelectorAll(".strip svg")) {
      const x = (song / all) * svg.viewBox.baseVal.width;
      const line = svg.querySelector(".pointer");
      line.setAttribute("x1", x);
      line.setAttribute("x2", x);
    }
  };
  const follow = () => {
    if (!graph) return;
    const at = graph.place(context.currentTime);
    where(at);
    if (!graph.loop && at >= seconds() - 0.005) { resting = 0; stop(); resting = 0; where(0); return; }
    requestAnimationFrame(follow);
  };

  page.choose = (side) => { state.side = side; return page.apply(); };
  const excerpt = (number, at = 0) => {
    if (number !== state.excerpt) page.forget(number);
    state.excerpt = number;
    $("excerpt").value = String(number);
    seek.max = String(seconds());
    resting = at;
    if (graph) begin(at); else { shown(); warm(); }
  };
  play.addEventListener("click", page.toggle);
  for (const button of bar.querySelectorAll("[data-side]")) button.addEventListener("click", () => page.choose(button.dataset.side));
  seek.max = String(seconds());
  seek.addEventListener("input", () => { resting = Number(seek.value); where(resting); });
  seek.addEventListener("change", () => { if (graph) begin(Number(seek.value)); });
  $("loop").addEventListener("change", () => { if (graph) begin(graph.place(context.currentTime)); });
  $("excerpt").addEventListener("change", (event) => excerpt(Number(event.target.value)));
  $("clear").addEventListener("click", () => {
    state.solo.clear(); state.mute.clear(); state.own.clear();
    play.focus();
    page.apply();
  });
  document.querySelector(".strip")?.addEventListener("click", (event) => {
    const svg = event.target.closest("svg");
    if (!svg) return;
    const box = svg.getBoundingClientRect();
    const at = ((event.clientX - box.left) / box.width) * Number(bar.dataset.seconds);
    const number = sound.excerpts.findIndex((one) => at >= one.start && at <= one.start + one.seconds);
    if (number < 0) return say("Only the framed seconds are on this page.");
    excerpt(number, at - sound.excerpts[number].start);
  });
  document.querySelector("main").addEventListener("click", (event) => {
    const button = event.target.closest("[data-do]");
    if (!button) return;
    const { id } = button.closest("article"), what = button.dataset.do;
    if (what === "solo" || what === "mute") {
      const set = state[what];
      if (!set.delete(id)) set.add(id);
    } else if (state.own.get(id) === what) state.own.delete(id);
    else state.own.set(id, what);
    page.apply();
  });
  const warm = () => { page.load(state.excerpt, wanted()).catch(() => {}); };
  (globalThis.requestIdleCallback ?? setTimeout)(warm);
  shown();

  document.addEventListener("keydown", (event) => {
    if (!$("keys").checked || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.target.closest("input:not([type=range], [type=checkbox]), select, textarea")) return;
    const row = document.activeElement.closest("article.stem");
    const sides = [...bar.querySelectorAll(page.blind ? "[data-letter]" : ".positions [data-side]")];
    const click = (selector) => row?.querySelector(selector)?.click();
    const step = (by) => {
      const rows = [...document.querySelectorAll("article.stem:not([hidden])")];
      const next = rows[row ? rows.indexOf(row) + by : 0];
      next?.querySelector(".open").focus();
      next?.scrollIntoView({ block: "nearest" });
    };
    const actions = {
      p: page.toggle, b: () => $("blind").click(), l: () => $("loop").click(), j: () => step(1), k: () => step(-1),
      s: () => click("[data-do=solo]"), m: () => click("[data-do=mute]"),
      d: () => !page.blind && bar.querySelector("[data-side=changed]")?.click(),
      n: () => !page.blind && bar.querySelector("[data-side=null]")?.click(),
    };
    const key = event.key.toLowerCase();
    if (/^[123]$/.test(key) && sides[Number(key) - 1]) actions[key] = () => sides[Number(key) - 1].click();
    if (!actions[key]) return;
    event.preventDefault();
    actions[key]();
  });
})();
