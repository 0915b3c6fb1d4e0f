/* Plots: values under the pointer, by mouse, finger and arrow keys, and one move at a time. */
(() => {
  const LOW = 20, SPAN = Math.log(1000), POINTS = 239;
  const data = JSON.parse(document.getElementById("read-outs").textContent);

  const at = (freqs, values, hz) => {
    if (!freqs || hz < freqs[0] || hz > freqs[freqs.length - 1] * 1.001) return null;
    let high = freqs.findIndex((f) => f >= hz);
    if (high <= 0) high = high < 0 ? freqs.length - 1 : 1;
    const share = Math.log(hz / freqs[high - 1]) / Math.log(freqs[high] / freqs[high - 1]);
    return values[high - 1] + Math.min(share, 1) * (values[high] - values[high - 1]);
  };
  const hertz = (hz) => (hz >= 999.5 ? `${(hz / 1000).toPrecision(3)} kHz` : `${Math.round(hz)} Hz`);
  const signed = (db) => `${Math.abs(db) < 0.05 ? "" : db < 0 ? "\u2212" : "+"}${Math.abs(db).toFixed(1)} dB`;

  for (const plot of document.querySelectorAll(".plot")) {
    const article = plot.closest("article");
    const of = data[plot.dataset.of];
    const [received, that, current] = article.dataset.names.split("|");
    const names = { received, that, this: current };
    const read = article.querySelector(".read");
    let shown = null;

    const show = (share) => {
      const inside = Math.min(Math.max(share, 0), 1);
      const hz = LOW * Math.exp(inside * SPAN);
      const words = [];
      for (const [side, levels] of Object.entries(of.sides)) {
        const level = at(of.points, levels, hz);
        if (level !== null && level > -139) words.push(`${names[side]} ${signed(level)}`);
      }
      const total = of.freqs ? at(of.freqs, of.total, hz) : null;
      if (total !== null) words.push(`moves ${signed(total)}`);
      const one = shown !== null && of.moves[shown - 1];
      if (one) words.push(`move ${shown} ${signed(at(of.freqs, one, hz) ?? 0)}`);
      read.textContent = `${hertz(hz)}: ${words.join(", ") || "nothing here"}`;
      plot.setAttribute("aria-valuenow", Math.round(inside * POINTS));
      plot.setAttribute("aria-valuetext", read.textContent);
      for (const svg of plot.querySelectorAll("svg")) {
        const x = Number(svg.dataset.left) + inside * (svg.dataset.right - svg.dataset.left);
        const line = svg.querySelector(".pointer");
        line.setAttribute("x1", x);
        line.setAttribute("x2", x);
      }
    };
    const point = (event) => {
      const svg = [...plot.querySelectorAll("svg")].find((each) => each.clientWidth || each.getBoundingClientRect().width);
      const box = svg.getBoundingClientRect();
      const x = ((event.clientX - box.left) / box.width) * svg.viewBox.baseVal.width;
      show((x - svg.dataset.left) / (svg.dataset.right - svg.dataset.left));
    };
    plot.addEventListener("pointermove", point);
    plot.addEventListener("pointerdown", point);
    plot.addEventListener("keydown", (event) => {
      const now = Number(plot.getAttribute("aria-valuenow"));
      const steps = { ArrowRight: now + 1, ArrowUp: now + 1, ArrowLeft: now - 1, ArrowDown: now - 1, PageUp: now + 24, PageDown: now - 24, Home: 0, End: POINTS };
      if (!(event.key in steps) || event.ctrlKey || event.altKey || event.metaKey) return;
      event.preventDefault();
      show(Math.min(Math.max(steps[event.key], 0), POINTS) / POINTS);
    });

    let pinned = null;
    const light = (number) => {
      shown = number;
      for (const part of article.querySelectorAll("svg [data-move]")) part.classList.toggle("shown", Number(part.dataset.move) === number);
    };
    for (const button of article.querySelectorAll(".move[type]")) {
      const number = Number(button.dataset.move);
      const leave = () => light(pinned);
      button.addEventListener("mouseenter", () => light(number));
      button.addEventListener("focus", () => light(number));
      button.addEventListener("mouseleave", leave);
      button.addEventListener("blur", leave);
      button.addEventListener("click", () => {
        pinned = pinned === number ? null : number;
        for (const each of article.querySelectorAll(".move[type]")) each.setAttribute("aria-pressed", String(Number(each.dataset.move) === pinned));
        light(pinned ?? number);
      });
    }
    for (const badge of article.querySelectorAll(".badge")) {
      badge.addEventListener("pointerenter", () => light(Number(badge.dataset.move)));
      badge.addEventListener("pointerleave", () => light(pinned));
    }
  }
})();
