/* Rings in place: as received, lifted and notched, none louder than received by its peak or its mean. */
(() => {
  const page = globalThis.stemwrightPage;
  if (!page.sound) return;
  let playing = null;
  const hush = () => {
    if (!playing) return;
    const { source, gain, button, context } = playing;
    gain.gain.setTargetAtTime(0, context.currentTime, 0.003);
    source.stop(context.currentTime + 0.03);
    button.setAttribute("aria-pressed", "false");
    playing = null;
  };
  const size = (buffer) => {
    let peak = 0, power = 0;
    for (let channel = 0; channel < buffer.numberOfChannels; channel += 1) {
      for (const sample of buffer.getChannelData(channel)) { peak = Math.max(peak, Math.abs(sample)); power += sample * sample; }
    }
    return { peak, rms: Math.sqrt(power / buffer.length / buffer.numberOfChannels) };
  };
  page.ringSound = async (id, hz, q, db, excerpt = page.state.excerpt) => {
    const buffer = await page.decode(id, "received", excerpt);
    if (!buffer || db === 0) return buffer;
    const context = new OfflineAudioContext(buffer.numberOfChannels, buffer.length, buffer.sampleRate);
    const source = new AudioBufferSourceNode(context, { buffer });
    source.connect(new BiquadFilterNode(context, { type: "peaking", frequency: hz, Q: q, gain: db })).connect(context.destination);
    source.start();
    const moved = await context.startRendering();
    const was = size(buffer), now = size(moved);
    const lower = Math.min(1, was.peak / (now.peak || 1), was.rms / (now.rms || 1));
    for (let channel = 0; channel < moved.numberOfChannels; channel += 1) moved.getChannelData(channel).forEach((sample, at, all) => { all[at] = sample * lower; });
    return moved;
  };
  for (const box of document.querySelectorAll(".ring")) {
    for (const button of box.querySelectorAll("[data-lift]")) {
      button.addEventListener("click", async () => {
        const again = playing?.button === button;
        hush();
        page.stop();
        if (again) return;
        const { context, master } = page.output();
        const resumed = context.resume();
        const buffer = await page.ringSound(box.closest("article").id, Number(box.dataset.hz), Number(box.dataset.q), Number(button.dataset.lift));
        await resumed;
        if (!buffer) { box.querySelector(".said").textContent = "This stem is silent in the excerpt."; return; }
        const scale = page.sound.stems[box.closest("article").id].scale;
        const source = new AudioBufferSourceNode(context, { buffer, loop: true });
        const gain = new GainNode(context, { gain: 0 });
        gain.gain.setTargetAtTime(10 ** (-scale / 20), context.currentTime, 0.005);
        source.connect(gain).connect(master);
        source.start();
        playing = { source, gain, button, context };
        button.setAttribute("aria-pressed", "true");
      });
    }
  }
  document.getElementById("play").addEventListener("click", hush);
})();
