/* Rows: open and close, find, show some, put in order; the list is the table and the cards. */
(() => {
  const list = document.getElementById("rows");
  const rows = [...list.querySelectorAll("article.stem")];
  const toggle = (row, open) => {
    row.querySelector(".open").setAttribute("aria-expanded", String(open));
    row.querySelector(".body").hidden = !open;
  };
  for (const row of rows) {
    toggle(row, row.dataset.open === "yes");
    row.querySelector(".open").addEventListener("click", () => toggle(row, row.querySelector(".body").hidden));
  }
  const find = document.getElementById("find"), show = document.getElementById("show"), order = document.getElementById("order");
  const texts = new Map(rows.map((row) => [row, row.querySelector(".line").textContent.toLowerCase()]));
  const filter = () => {
    const words = find.value.toLowerCase().split(/\s+/).filter(Boolean);
    let left = 0;
    for (const row of rows) {
      row.hidden = !words.every((word) => texts.get(row).includes(word)) || (show.value !== "" && !row.dataset.tags.split(" ").includes(show.value));
      left += row.hidden ? 0 : 1;
    }
    document.getElementById("count").textContent = left < rows.length ? `${left} of ${rows.length} stems` : "";
  };
  const number = (row, key) => (row.dataset[key] === "" ? -1e9 : Number(row.dataset[key]));
  order.addEventListener("change", () => {
    const key = order.value;
    const by = {
      name: (a, b) => a.dataset.name.localeCompare(b.dataset.name, undefined, { numeric: true, sensitivity: "base" }),
      lufs: (a, b) => number(b, "lufs") - number(a, "lufs"),
      peak: (a, b) => number(b, "peak") - number(a, "peak"),
    }[key] ?? ((a, b) => rows.indexOf(a) - rows.indexOf(b));
    list.append(...[...rows].sort(by));
  });
  find.addEventListener("input", filter);
  show.addEventListener("change", filter);
})();
