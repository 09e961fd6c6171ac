// Arrow keys for the matrix. The table is one stop for the Tab key; inside it
// the arrows, Home, End, Page Up and Page Down move from cell to cell. The
// row and column headings stay ordinary links.

for (const table of document.querySelectorAll("table[data-grid]")) {
  const rows = [...table.querySelectorAll("tbody tr")]
    .map((tr) => [...tr.querySelectorAll("td.mc > a")])
    .filter((cells) => cells.length > 0);
  if (rows.length === 0) continue;
  const place = new Map();
  rows.forEach((cells, r) => cells.forEach((a, c) => place.set(a, [r, c])));

  // What the arrows lead to must not come to lie under the headings that stay.
  const box = table.closest(".grid-box");
  const corner = table.querySelector(".corner");
  function clear() {
    const stays = getComputedStyle(corner).position === "sticky";
    box.style.scrollPadding = stays ? `${corner.offsetHeight + 8}px 8px 8px ${corner.offsetWidth + 8}px` : "8px";
  }
  new ResizeObserver(clear).observe(corner);
  // A browser leaves half of a heading outside the box. By the mouse it has to:
  // what moves away under the pointer is not clicked.
  table.addEventListener("focusin", ({ target }) => {
    if (target.matches(":focus-visible")) target.scrollIntoView({ block: "nearest", inline: "nearest" });
  });

  let current = rows[0][0];
  current.tabIndex = 0;

  function go(r, c) {
    r = Math.max(0, Math.min(rows.length - 1, r));
    c = Math.max(0, Math.min(rows[r].length - 1, c));
    current.tabIndex = -1;
    current = rows[r][c];
    current.tabIndex = 0;
    current.focus();
  }

  table.addEventListener("focusin", (event) => {
    const a = event.target.closest("td.mc > a");
    if (!a || a === current) return;
    current.tabIndex = -1;
    current = a;
    current.tabIndex = 0;
  });

  table.addEventListener("keydown", (event) => {
    const at = place.get(event.target);
    if (!at || event.altKey || event.metaKey) return;
    const [r, c] = at;
    const moves = {
      ArrowUp: [r - 1, c], ArrowDown: [r + 1, c], ArrowLeft: [r, c - 1], ArrowRight: [r, c + 1],
      PageUp: [r - 10, c], PageDown: [r + 10, c],
      Home: [event.ctrlKey ? 0 : r, 0],
      End: [event.ctrlKey ? rows.length - 1 : r, Infinity],
    };
    const to = moves[event.key];
    if (!to) return;
    event.preventDefault();
    go(...to);
  });
}
