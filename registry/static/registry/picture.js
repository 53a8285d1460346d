"use strict";

// A picture scrolls in its frame; here it also grows, shrinks and follows the hand.

const WORDS = document.currentScript.dataset; // in the language of the page
const LEAST = 0.2;
const MOST = 4;
const STEP = 1.25;
const FIRST = 0.8; // how small a picture may be drawn at first, so that more of it is seen

function movable(frame) {
  const drawing = frame.querySelector("svg");
  if (!drawing || frame.dataset.movable) return;
  frame.dataset.movable = "yes";
  const box = drawing.viewBox.baseVal;
  const [wide, high] = [box?.width || drawing.clientWidth, box?.height || drawing.clientHeight];
  let scale = drawing.clientWidth / wide || 1;

  function draw(wanted, x = frame.clientWidth / 2, y = frame.clientHeight / 2) {
    const old = scale;
    scale = Math.min(MOST, Math.max(LEAST, wanted));
    const [left, top] = [frame.scrollLeft + x, frame.scrollTop + y];
    drawing.setAttribute("width", wide * scale);
    drawing.setAttribute("height", high * scale);
    frame.scrollLeft = (left * scale) / old - x;
    frame.scrollTop = (top * scale) / old - y;
  }

  const whole = () => draw(Math.min(frame.clientWidth / wide, frame.clientHeight / high));
  const acts = [
    [WORDS.larger, "+", () => draw(scale * STEP)],
    [WORDS.smaller, "-", () => draw(scale / STEP)],
    [WORDS.whole, "0", whole],
    [WORDS.full, "1", () => draw(1)],
  ];
  const bar = document.createElement("p");
  bar.className = "actions zoom";
  for (const [name, key, act] of acts) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "plain";
    button.textContent = name;
    button.setAttribute("aria-keyshortcuts", key);
    button.addEventListener("click", act);
    bar.append(button);
  }
  const hint = document.createElement("span");
  hint.className = "quiet keys";
  hint.textContent = WORDS.keys;
  bar.append(hint);
  frame.before(bar);

  frame.tabIndex = 0;
  if (!frame.hasAttribute("role")) frame.setAttribute("role", "group");
  if (!frame.hasAttribute("aria-label")) {
    const title = drawing.querySelector("title")?.textContent.trim() || WORDS.picture;
    frame.setAttribute("aria-label", `${title}. ${WORDS.keys}`);
  }
  frame.addEventListener("keydown", (event) => {
    const key = event.key === "=" ? "+" : event.key;
    const found = acts.find(([, wanted]) => wanted === key);
    if (!found || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    found[2]();
  });
  frame.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    const edge = frame.getBoundingClientRect();
    draw(scale * (event.deltaY < 0 ? STEP : 1 / STEP), event.clientX - edge.x, event.clientY - edge.y);
  }, { passive: false });
  drag(frame);
  if (wide > frame.clientWidth) draw(Math.max(FIRST, frame.clientWidth / wide));
  const asked = drawing.querySelector(".asked")?.getBoundingClientRect();
  if (!asked) return;
  const edge = frame.getBoundingClientRect();
  frame.scrollLeft = asked.x + asked.width / 2 - edge.x - frame.clientWidth / 2;
  frame.scrollTop = asked.y + asked.height / 2 - edge.y - frame.clientHeight / 2;
}

function drag(frame) {
  let from = null;
  let moved = false;
  frame.addEventListener("pointerdown", (event) => {
    if (event.pointerType !== "mouse" || event.button) return;
    from = { x: event.clientX + frame.scrollLeft, y: event.clientY + frame.scrollTop };
    moved = false;
  });
  frame.addEventListener("pointermove", (event) => {
    if (!from) return;
    const [left, top] = [from.x - event.clientX, from.y - event.clientY];
    if (!moved && Math.hypot(left - frame.scrollLeft, top - frame.scrollTop) < 5) return;
    if (!moved) frame.setPointerCapture(event.pointerId);
    moved = true;
    frame.classList.add("moving");
    frame.scrollLeft = left;
    frame.scrollTop = top;
  });
  const end = () => {
    from = null;
    frame.classList.remove("moving");
  };
  frame.addEventListener("pointerup", end);
  frame.addEventListener("pointercancel", end);
  frame.addEventListener("dragstart", (event) => event.preventDefault());
  frame.addEventListener("click", (event) => {
    if (moved) event.preventDefault();
    moved = false;
  }, true);
}

const every = (root) => root.querySelectorAll(".picture").forEach(movable);
every(document);
document.addEventListener("htmx:load", (event) => every(event.target));
