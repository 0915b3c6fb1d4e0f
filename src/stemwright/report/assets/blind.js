/* Blind: letters instead of names, a fixed number of trials, and what chance alone would give. Which letter is which lives here. */
(() => {
  const page = globalThis.stemwrightPage;
  const $ = (id) => document.getElementById(id);
  const start = $("blind");
  /* One-sided binomial: how often guessing alone gives this many right or more. */
  page.chance = (right, trials) => {
    let sum = 0, term = 1;
    for (let count = 0; count <= trials; count += 1) {
      if (count >= right) sum += term;
      term = (term * (trials - count)) / (count + 1);
    }
    return sum / 2 ** trials;
  };
  if (!page.sound || !start) return;
  const { sound, state } = page;
  const panel = $("trial"), letters = [...panel.querySelectorAll("[data-letter]")], answers = [...panel.querySelectorAll("[data-answer]")];
  const pair = [sound.before, "this"];
  const name = (side) => sound.names[side];
  const percent = (p) => (p < 0.0005 ? "under 0.1 %" : `${(100 * p).toFixed(p < 0.1 ? 1 : 0)} %`);
  let order = null, heard = null, asked = 0, counted = 0, trials = 0, kind = "which";

  const coin = () => crypto.getRandomValues(new Uint32Array(1))[0] & 1;
  const enable = () => { for (const button of answers) button.setAttribute("aria-disabled", String(heard.size < 2)); };
  const trial = () => {
    order = coin() ? [...pair].reverse() : [...pair];
    heard = new Set();
    enable();
    for (const button of letters) button.setAttribute("aria-pressed", "false");
    $("asked").textContent = `Trial ${asked + 1} of ${trials}. ${kind === "which" ? `Which is ${name("this")}?` : "Which do you like better?"} Hear both first.`;
  };
  const listen = (place) => {
    for (const [at, button] of letters.entries()) button.setAttribute("aria-pressed", String(at === place));
    page.choose(order[place]);
    if (!page.playing()) page.toggle();
    heard.add(place);
    enable();
  };
  const verdict = () => {
    const what = `${sound.title}, ${name("this")} against ${name(pair[0])}, ${$("heard").textContent}`;
    if (kind === "which") {
      const p = page.chance(counted, trials);
      const sure = p < 0.05 ? "a difference was heard" : "no difference was shown";
      return `${what}: ${counted} of ${trials} right; guessing alone does that or better in ${percent(p)} of tries (one-sided binomial): ${sure}.`;
    }
    const more = Math.max(counted, trials - counted), p = Math.min(1, 2 * page.chance(more, trials));
    return `${what}: liked ${name("this")} better in ${counted} of ${trials}; chance alone is as one-sided in ${percent(p)} of tries (two-sided binomial).`;
  };
  const answer = (place) => {
    if (heard.size < 2) return;
    counted += order[place] === "this" ? 1 : 0;
    asked += 1;
    if (asked < trials) return trial();
    panel.dataset.done = "yes";
    $("asked").textContent = "Done.";
    $("result").value = verdict();
    $("outcome").hidden = false;
    $("result").focus();
    $("result").select();
    return undefined;
  };
  const leave = () => {
    if (asked && asked < trials) $("status").textContent = `Stopped after ${asked} of ${trials}: no result.`;
    page.blind = false;
    panel.hidden = true;
    document.querySelector(".positions").hidden = false;
    start.setAttribute("aria-pressed", "false");
    document.body.classList.remove("blinded");
    page.choose("this");
  };
  const enter = () => {
    page.blind = true;
    trials = Number($("trials").value);
    kind = $("kind").value;
    asked = counted = 0;
    delete panel.dataset.done;
    $("outcome").hidden = true;
    panel.hidden = false;
    document.querySelector(".positions").hidden = true;
    start.setAttribute("aria-pressed", "true");
    document.body.classList.add("blinded");
    state.own.clear();
    trial();
  };
  start.addEventListener("click", () => (page.blind ? leave() : enter()));
  for (const [at, button] of letters.entries()) button.addEventListener("click", () => panel.dataset.done || listen(at));
  for (const [at, button] of answers.entries()) button.addEventListener("click", () => panel.dataset.done || answer(at));
  for (const id of ["trials", "kind"]) $(id).addEventListener("change", enter);
  $("copy").addEventListener("click", async () => {
    $("result").select();
    try { await navigator.clipboard.writeText($("result").value); } catch { document.execCommand("copy"); }
    $("copied").textContent = "Copied.";
  });
})();
