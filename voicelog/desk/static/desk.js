"use strict";
// Keys, sound, focus and the lock. Everything but the sound works without this file.

const said = document.body.dataset;  // the words of the page's language
const cards = () => [...document.querySelectorAll(".card")];
const typing = (element) => element.closest("input:not([type=checkbox]), select, textarea");

const SEEK_S = 3;
const FULL_WIDTH = 288;
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
  if (!on) showPlace(button, 0);
}

function showPlace(button, share) {
  button.parentElement.querySelector("rect").setAttribute("width", FULL_WIDTH * share);
}

// From a place in it, as a share of the whole; `then` are the clips to go on with.
function play(button, from = 0, then = []) {
  stopSound();
  const own = new Audio(button.dataset.play);
  sound = own;
  playing = button;
  mark(button, true);
  own.addEventListener("loadedmetadata", () => { if (from) own.currentTime = from * own.duration; });
  own.addEventListener("timeupdate", () => {
    if (own === sound) showPlace(button, own.currentTime / own.duration || 0);
  });
  own.addEventListener("ended", () => { stopSound(); if (then.length) play(then[0], 0, then.slice(1)); });
  own.addEventListener("error", () => { if (own === sound) { stopSound(); tell(said.sayUnplayable); } });
  own.play().catch(() => {});
}

// All clips of a record, one after the other: the dictation, then what was said to correct it.
function playAll(card) {
  if (playing && card.contains(playing)) stopSound();
  else {
    const [first, ...others] = card.querySelectorAll("[data-play]");
    if (first) play(first, 0, others);
  }
}

function seek(step) {
  if (sound) sound.currentTime = Math.max(0, sound.currentTime + step);
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

// With a Korean keyboard the key that is "a" in Latin letters gives another sign; the same key with
// the capitals locked is the same key.
function letter(event) {
  const latin = event.key.length > 1 ? event.key !== "Process" : event.key <= "~";
  const place = /^Key([A-Z])$/.exec(event.code);
  if (!latin && place) return place[1].toLowerCase();
  return event.key.length > 1 ? event.key : event.key.toLowerCase();
}

// Single keys act only while a record has the focus, and never while something is being typed
// (WCAG 2.2, success criterion 2.1.4).
document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  const card = event.target.closest(".card");
  if (event.key === "Escape") {
    const leave = document.querySelector("[data-leave]");
    if (leave) leave.click();
    else if (card) goTo(card);
    return;
  }
  if (!card || typing(event.target)) return;
  const key = letter(event);
  // A key held down too long is no answer to what it has only just brought up.
  if (event.repeat && (key.length === 1 || key === "Enter")) {
    event.preventDefault();
    return;
  }
  const press = {
    ArrowDown: () => move(card, 1),
    ArrowUp: () => move(card, -1),
    ArrowLeft: () => seek(-SEEK_S),
    ArrowRight: () => seek(SEEK_S),
    n: () => nextToLookAt(card),
    p: () => playAll(card),
    t: () => type(card),
  }[key];
  const button = card.querySelector(`[data-key="${CSS.escape(key)}"]`);
  if (!press && !button) return;
  event.preventDefault();
  if (press) press();
  else button.click();
});

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-play]");
  const wave = event.target.closest(".wave");
  if (button === playing) stopSound();
  else if (button) play(button);
  if (wave) {
    const { left, width } = wave.getBoundingClientRect();
    play(wave.parentElement.querySelector("[data-play]"), (event.clientX - left) / width);
  }
  if (event.target.closest("[data-leave]")) changed = null;
});

// A second click, on its way before the page has answered the first, is no second wish.
const DOUBLE_MS = 1000;
let sentAt = -DOUBLE_MS;

document.addEventListener("submit", (event) => {
  const double = event.timeStamp - sentAt < DOUBLE_MS;
  if (double) event.preventDefault();
  else sentAt = event.timeStamp;
  if (event.target === changed) changed = null;
});

// What was typed into one record and not saved is not lost by a key pressed on another.
let changed = null;

document.addEventListener("input", (event) => {
  if (event.target.closest(".card")) changed = event.target.form;
});

function differs(field) {
  const chosen = [...(field.options || [])].some((o) => o.selected !== o.defaultSelected);
  return chosen || field.checked !== field.defaultChecked || (!field.options && field.value !== field.defaultValue);
}

addEventListener("beforeunload", (event) => {
  if (changed && [...changed.elements].some(differs)) event.preventDefault();
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

function lockPage() {
  changed = null;
  location.replace("/locked");
}

// Every window of the desk is in use while one is, and all are locked together.
function keepLock() {
  const idle = Number(said.idle) * 1000;
  const others = new BroadcastChannel("desk");
  if (location.pathname === "/locked") others.postMessage("locked");
  if (!idle) return;
  let used = Date.now();
  let told = used;
  others.postMessage("used");
  others.addEventListener("message", ({ data }) => {
    if (data === "locked") lockPage();
    else used = Date.now();
  });
  const use = () => {
    used = Date.now();
    if (used - told < Math.min(idle / 4, 60000)) return;
    told = used;
    others.postMessage("used");
    const form = new URLSearchParams({ form_key: said.key });
    fetch("/stay", { method: "POST", body: form }).then((answer) => {
      if (answer.status === 401) lockPage();
    }).catch(() => tell(said.sayUnanswered));
  };
  for (const kind of ["keydown", "pointerdown", "scroll"]) addEventListener(kind, use, { passive: true });
  setInterval(() => { if (Date.now() - used > idle) lockPage(); }, 1000);
}

startFocus();
sayResult();
keepLock();
