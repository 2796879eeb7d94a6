"use strict";
// Keys, sound, focus and the lock. Everything but the sound works without this file.

const said = document.body.dataset;  // the words of the page's language
const cards = () => [...document.querySelectorAll(".card")];
const typing = (element) => element.closest("input:not([type=checkbox]), select, textarea");

let sound = null;
let playing = null;

function stopSound() {
  if (sound) sound.pause();
  if (playing) mark(playing, false);
  sound = playing = null;
}

function mark(button, on) {
  button.classList.toggle("playing", on);
  button.querySelector(".said").textContent = on ? said.sayStop : said.sayPlay;
}

function play(button) {
  const again = button === playing;
  stopSound();
  if (again) return;
  sound = new Audio(button.dataset.play);
  playing = button;
  mark(button, true);
  sound.addEventListener("ended", stopSound);
  sound.addEventListener("error", () => { stopSound(); tell(said.sayUnplayable); });
  sound.play().catch(() => {});
}

function tell(text, place = "told") {
  const region = document.getElementById(place);
  if (!region) return;
  const line = document.createElement("p");
  line.textContent = text;
  region.replaceChildren(line);
}

function goTo(card) {
  if (!card) return;
  card.focus({ preventScroll: true });
  card.scrollIntoView({ block: "start" });
}

function move(card, step) {
  const all = cards();
  goTo(all[all.indexOf(card) + step]);
}

function type(card) {
  const field = card.querySelector("[data-type]");
  if (!field) return;
  field.closest("details:not([open])")?.setAttribute("open", "");
  field.focus();
}

function nextToLookAt(card) {
  const all = cards();
  const at = all.indexOf(card);
  const next = [...all.slice(at + 1), ...all.slice(0, at)].find((c) => "look" in c.dataset);
  if (next) goTo(next);
  else tell(said.sayNothingElse);
}

// Single keys act only while a record has the focus, and never while something is being typed
// (WCAG 2.2, success criterion 2.1.4).
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const card = event.target.closest(".card");
  if (event.key === "Escape") {
    const leave = document.querySelector("[data-leave]");
    if (leave) leave.click();
    else if (card) goTo(card);
    return;
  }
  if (!card || typing(event.target)) return;
  const press = {
    ArrowDown: () => move(card, 1),
    ArrowUp: () => move(card, -1),
    n: () => nextToLookAt(card),
    p: () => { const button = card.querySelector("[data-play]"); if (button) play(button); },
    t: () => type(card),
  }[event.key];
  const button = card.querySelector(`[data-key="${CSS.escape(event.key)}"]`);
  if (!press && !button) return;
  event.preventDefault();
  if (press) press();
  else button.click();
});

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-play]");
  if (button) play(button);
});

function startFocus() {
  const wanted = document.querySelector("[data-focus]");
  const named = location.hash && document.getElementById(location.hash.slice(1));
  if (wanted) { wanted.focus(); wanted.closest(".preview, .alert")?.scrollIntoView({ block: "center" }); }
  else goTo(named || cards()[0]);
}

// A result that is there when the page opens is not read aloud by every screen reader; one that
// is put there afterwards is.
function sayResult() {
  const texts = [...document.querySelectorAll("[data-told]")].map((line) => line.textContent);
  if (texts.length) setTimeout(() => tell(texts.join(" "), "results"), 200);
}

function keepLock() {
  const idle = Number(document.body.dataset.idle) * 1000;
  if (!idle) return;
  let used = Date.now();
  let told = used;
  const use = () => {
    used = Date.now();
    if (used - told < Math.min(idle / 4, 60000)) return;
    told = used;
    const form = new URLSearchParams({ form_key: document.body.dataset.key });
    fetch("/stay", { method: "POST", body: form }).then((answer) => {
      if (answer.status === 401) location.replace("/locked");
    }).catch(() => location.replace("/locked"));
  };
  for (const kind of ["keydown", "pointerdown", "scroll"]) addEventListener(kind, use, { passive: true });
  setInterval(() => { if (Date.now() - used > idle) location.replace("/locked"); }, 1000);
}

startFocus();
sayResult();
keepLock();
