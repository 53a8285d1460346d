"use strict";

// Everything here makes pages quicker to use; none of them needs it.

const typing = "input, select, textarea, [contenteditable]";

// "/" goes to the search.
document.addEventListener("keydown", (event) => {
  const search = document.getElementById("search");
  if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey) return;
  if (!search || event.target.closest(typing)) return;
  event.preventDefault();
  search.focus();
  search.select();
});

// A wet finger that taps twice sends a form once.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.method !== "post" || event.defaultPrevented) return;
  if (form.dataset.sent) return event.preventDefault();
  form.dataset.sent = "yes";
  setTimeout(() => delete form.dataset.sent, 3000);
});

// On a phone each row of a table becomes a block, with its headings beside the values.
function fold(table) {
  const heads = [...table.querySelectorAll("thead tr:last-child > *")];
  const plain = (cell) => cell.colSpan === 1 && cell.rowSpan === 1;
  const rows = [...table.querySelectorAll("tbody > tr, tfoot > tr")];
  const cells = rows.flatMap((row) => [...row.cells]);
  if (heads.length < 4 || ![...heads, ...cells].every(plain)) return;
  for (const row of rows) {
    row.setAttribute("role", "row");
    for (const [place, cell] of [...row.cells].entries()) {
      cell.setAttribute("role", cell.tagName === "TH" ? "rowheader" : "cell");
      const named = cell.tagName === "TH" || (!place && !row.querySelector("th"));
      if (!named) cell.dataset.label = heads[place]?.textContent.trim() ?? "";
    }
  }
  for (const group of table.tBodies) group.setAttribute("role", "rowgroup");
  for (const head of heads) head.setAttribute("role", "columnheader");
  table.setAttribute("role", "table");
  table.classList.add("folded");
}

// What scrolls can be reached by key.
function reach(box) {
  const wide = box.scrollWidth > box.clientWidth || box.scrollHeight > box.clientHeight;
  if (!wide || box.hasAttribute("tabindex")) return;
  box.tabIndex = 0;
  box.setAttribute("role", "region");
  if (!box.hasAttribute("aria-label") && !box.hasAttribute("aria-labelledby")) {
    const named = box.querySelector("caption, figcaption, title")?.textContent.trim();
    box.setAttribute("aria-label", named || "Scrolls sideways");
  }
}

function arrange(root) {
  root.querySelectorAll("table.data:not(.folded, .fixed)").forEach(fold);
  root.querySelectorAll(".scroll, .plot").forEach(reach);
}

arrange(document);
addEventListener("resize", () => arrange(document));
document.addEventListener("htmx:load", (event) => arrange(event.target));
