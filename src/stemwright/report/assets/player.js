/* Player: all positions of a stem run together from one start; switching only moves gains, so nothing clicks or slips. */
(() => {
  const FADE_S = 0.008, AHEAD_S = 0.06;
  const page = (globalThis.stemwrightPage = {});

  page.clips = (id) => [...document.querySelectorAll(`script.clip[data-of="${CSS.escape(id)}"]`)];
  page.bytes = (clip) => Uint8Array.from(atob(clip.textContent.trim()), (char) => char.charCodeAt(0)).buffer;
  page.decode = async (context, id) => {
    const clips = page.clips(id);
    const buffers = await Promise.all(clips.map((clip) => context.decodeAudioData(page.bytes(clip))));
    return new Map(clips.map((clip, index) => [clip.dataset.clip, buffers[index]]));
  };

  /* One gain for each position, and for each difference: a clip of its own, or this minus that in the graph itself. */
  page.wire = (context, buffers, target, when, loop = true) => {
    const gains = new Map(), sources = new Map();
    const gain = (value) => new GainNode(context, { gain: value });
    for (const [side, buffer] of buffers) {
      const source = new AudioBufferSourceNode(context, { buffer, loop });
      sources.set(side, source);
      gains.set(side, gain(0));
      source.connect(gains.get(side)).connect(target);
    }
    for (const other of ["received", "that"]) {
      const name = `this-${other}`;
      if (gains.has(name) || !sources.has(other) || !sources.has("this")) continue;
      const sum = gain(0), minus = gain(-1);
      sources.get("this").connect(sum);
      sources.get(other).connect(minus).connect(sum);
      sum.connect(target);
      gains.set(name, sum);
    }
    for (const source of sources.values()) source.start(when);
    return { gains, sources };
  };
  page.switchTo = (wired, side, time) => {
    for (const [name, { gain }] of wired.gains) {
      gain.cancelScheduledValues(time);
      gain.setValueAtTime(gain.value, time);
      gain.linearRampToValueAtTime(name === side ? 1 : 0, time + FADE_S);
    }
  };

  const volume = document.getElementById("volume");
  if (!volume) return;
  let context = null, master = null, playing = null, starting = 0;
  const level = () => 10 ** (Number(volume.value) / 20);
  const setVolume = () => {
    const words = Number(volume.value) <= -60 ? "off" : `${volume.value} dB`.replace("-", "\u2212");
    volume.setAttribute("aria-valuetext", words);
    document.getElementById("volume-words").textContent = words;
    if (master) master.gain.setTargetAtTime(Number(volume.value) <= -60 ? 0 : level(), context.currentTime, 0.02);
  };
  volume.addEventListener("input", setVolume);
  setVolume();

  const press = (button, down) => button.setAttribute("aria-pressed", String(down));
  class Player {
    constructor(root) {
      this.root = root;
      this.id = root.dataset.player;
      this.name = root.getAttribute("aria-label").replace("Listen to ", "");
      this.playButton = root.querySelector(".play");
      this.buttons = [...root.querySelectorAll("[data-side]")];
      this.side = this.buttons[0].dataset.side;
      this.wired = null;
      this.playButton.addEventListener("click", () => this.toggle());
      for (const button of this.buttons) button.addEventListener("click", () => this.choose(button.dataset.side));
    }
    async toggle() {
      last = this;
      if (playing === this) return this.stop();
      if (playing) playing.stop();
      const turn = ++starting;
      this.root.querySelector(".status").textContent = "";
      try {
        if (!context) {
          context = new AudioContext({ latencyHint: "interactive" });
          master = new GainNode(context, { gain: 0 });
          master.connect(context.destination);
          setVolume();
        }
        await context.resume();
        const buffers = await page.decode(context, this.id);
        if (turn !== starting) return undefined;
        this.start = context.currentTime + AHEAD_S;
        this.seconds = [...buffers.values()][0].duration;
        this.wired = page.wire(context, buffers, master, this.start);
        playing = this;
        page.switchTo(this.wired, this.side, this.start);
        this.playButton.textContent = "Stop";
        press(this.playButton, true);
        document.getElementById("now").textContent = `Playing: ${this.name}`;
        this.follow();
      } catch (error) {
        this.root.querySelector(".status").textContent = `This browser cannot play the excerpt (${error.message || error}).`;
      }
      return undefined;
    }
    stop() {
      starting += 1;
      if (playing !== this) return;
      const { gains, sources } = this.wired;
      page.switchTo({ gains }, null, context.currentTime);
      for (const source of sources.values()) source.stop(context.currentTime + 2 * FADE_S);
      playing = this.wired = null;
      this.playButton.textContent = "Play";
      press(this.playButton, false);
      document.getElementById("now").textContent = "";
      this.root.querySelector(".done").style.width = "0";
    }
    choose(side, told = true) {
      last = this;
      this.side = side;
      if (told) for (const button of this.buttons) press(button, button.dataset.side === side);
      if (playing === this) page.switchTo(this.wired, side, context.currentTime);
    }
    follow() {
      if (playing !== this) return;
      const share = Math.max(context.currentTime - this.start, 0) % this.seconds / this.seconds;
      this.root.querySelector(".done").style.width = `${(share * 100).toFixed(1)}%`;
      requestAnimationFrame(() => this.follow());
    }
  }

  const players = [...document.querySelectorAll(".player")].map((root) => new Player(root));
  let last = players[0];

  const step = (by) => {
    const next = players[players.indexOf(last) + by];
    if (!next) return;
    const wasPlaying = playing !== null;
    last = next;
    next.playButton.focus({ preventScroll: true });
    next.root.scrollIntoView({ block: "center" });
    if (wasPlaying) next.toggle();
  };
  page.players = (setUp) => setUp(players, press);
  document.addEventListener("focusin", (event) => {
    const root = event.target.closest?.(".stem, .beat")?.querySelector(".player");
    last = players.find((each) => each.root === root) ?? last;
  });
  document.addEventListener("keydown", (event) => {
    if (!document.getElementById("keys").checked || event.ctrlKey || event.altKey || event.metaKey || !last) return;
    if (event.target.closest("input:not([type=range], [type=checkbox]), select, textarea")) return;
    const key = event.key.toLowerCase();
    const seen = (selector) => [...last.root.querySelectorAll(selector)].filter((each) => each.offsetParent !== null && !each.disabled);
    const positions = () => seen("[data-letter], [data-side]:not([data-side^=this-])");
    const actions = {
      p: () => last.playButton.click(),
      d: () => seen("[data-side=this-received]")[0]?.click(),
      b: () => seen(".blind")[0]?.click(),
      j: () => step(1),
      k: () => step(-1),
    };
    if (/^[123]$/.test(key)) actions[key] = () => positions()[Number(key) - 1]?.click();
    if (!actions[key]) return;
    event.preventDefault();
    actions[key]();
  });
})();
