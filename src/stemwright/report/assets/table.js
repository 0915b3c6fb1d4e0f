/* Table: sort by any heading, find by any word, show some. */
(() => {
  const table = document.getElementById("table");
  const body = table.tBodies[0];
  const headings = [...table.tHead.rows[0].cells];
  const value = (row, column) => {
    const text = row.cells[column].textContent.trim();
    const number = headings[column].classList.contains("number") ? Number.parseFloat(text.split("to").pop().replace("\u2212", "-")) : Number.NaN;
    return { text, number };
  };
  const order = (column) => (one, other) => {
    const a = value(one, column), b = value(other, column);
    if (headings[column].classList.contains("number")) return (Number.isNaN(a.number) ? -1e9 : a.number) - (Number.isNaN(b.number) ? -1e9 : b.number);
    return a.text.localeCompare(b.text, undefined, { numeric: true, sensitivity: "base" });
  };
  headings.forEach((heading, column) => {
    heading.querySelector("button").addEventListener("click", () => {
      const down = heading.getAttribute("aria-sort") === "ascending";
      for (const each of headings) each.setAttribute("aria-sort", "none");
      heading.setAttribute("aria-sort", down ? "descending" : "ascending");
      const rows = [...body.rows].sort(order(column));
      body.append(...(down ? rows.reverse() : rows));
    });
  });

  const find = document.getElementById("find"), show = document.getElementById("show");
  const filter = () => {
    const words = find.value.toLowerCase().split(/\s+/).filter(Boolean);
    let left = 0;
    for (const row of body.rows) {
      const text = row.textContent.toLowerCase();
      row.hidden = !words.every((word) => text.includes(word)) || (show.value !== "" && !row.dataset.tags.split(" ").includes(show.value));
      left += row.hidden ? 0 : 1;
    }
    document.getElementById("count").textContent = left < body.rows.length ? `${left} of ${body.rows.length} ${table.dataset.of || "stems"}` : "";
  };
  find.addEventListener("input", filter);
  show.addEventListener("change", filter);
})();
