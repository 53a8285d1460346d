"use strict";

document.addEventListener("keydown", (event) => {
  const typing = event.target.closest("input, select, textarea, [contenteditable]");
  if (event.key !== "/" || typing || event.ctrlKey || event.metaKey || event.altKey) return;
  const search = document.getElementById("search");
  if (!search) return;
  event.preventDefault();
  search.focus();
  search.select();
});
