// The set-up record: entries wait for the network on this tablet, photographs and signatures among them.
"use strict";
const here = document.body.dataset;
const words = document.getElementById("words").dataset;
const PREFIX = `set-up:${here.base}`;
const LARGEST = 1600;
const PAD = document.getElementById("s-pad");

// Small things stand in the tablet's own store; entries, which hold photographs, in its database.
function recall(name, otherwise) {
  try {
    return JSON.parse(localStorage.getItem(`${PREFIX}:${name}`)) ?? otherwise;
  } catch {
    return otherwise;
  }
}
function remember(name, value) {
  localStorage.setItem(`${PREFIX}:${name}`, JSON.stringify(value));
}
function makeKey() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
function device() {
  let name = localStorage.getItem("bench:device");
  if (!name) {
    name = makeKey();
    localStorage.setItem("bench:device", name);
  }
  return name;
}
const opened = new Promise((done, failed) => {
  const asked = indexedDB.open("set-up", 1);
  asked.onupgradeneeded = () => asked.result.createObjectStore("queue", { keyPath: "key" });
  asked.onsuccess = () => done(asked.result);
  asked.onerror = () => failed(asked.error);
});
async function store(mode, work) {
  const base = await opened;
  return new Promise((done, failed) => {
    const transaction = base.transaction("queue", mode);
    const asked = work(transaction.objectStore("queue"));
    transaction.oncomplete = () => done(asked?.result);
    transaction.onerror = () => failed(transaction.error);
    transaction.onabort = () => failed(transaction.error);
  });
}
async function queue() {
  const all = await store("readonly", (kept) => kept.getAll());
  return all.filter((one) => one.base === here.base).sort((a, b) => a.order - b.order);
}

const net = document.getElementById("net");
const wrong = document.getElementById("wrong");
async function say(state, waits) {
  const text = words[state].replace("#", (await queue().catch(() => [])).length);
  if (net.textContent !== text) net.textContent = text;
  net.classList.toggle("waits", waits);
}
function nextOrder() {
  const order = recall("order", 0) + 1;
  remember("order", order);
  return order;
}
async function add(what, value, text) {
  wrong.textContent = "";
  const entry = {
    key: makeKey(), base: here.base, device: device(), order: 0, what, value, text,
    version: Number(here.version), done_at: new Date().toISOString(),
  };
  try {
    entry.order = nextOrder();
    await store("readwrite", (kept) => kept.put(entry));
  } catch {
    say("full", true);
    wrong.textContent = words.full;
    return false;
  }
  await show();
  send();
  return true;
}

let token = "";
let sending = false;
let pause = 0;
let later = 0;
function again() {
  clearTimeout(later);
  pause = Math.min(30000, Math.max(2000, pause * 2));
  later = setTimeout(send, pause);
}
async function send() {
  if (sending) return;
  sending = true;
  try {
    // Two tabs of one tablet do not send at the same time.
    if (navigator.locks) await navigator.locks.request(`${PREFIX}:send`, sendAll);
    else await sendAll();
  } finally {
    sending = false;
  }
}
async function sendAll() {
  let refreshed = false;
  for (let waits = await queue(); waits.length; waits = await queue()) {
    if (!token && !(await look())) return;
    // One at a time: a photograph fills most of what one request may hold.
    const { base, text, ...entry } = waits[0];
    let answer;
    try {
      answer = await fetch(`${here.base}entries/`, {
        method: "POST", redirect: "manual", credentials: "same-origin",
        headers: { "Content-Type": "application/json", "X-CSRFToken": token },
        body: JSON.stringify({ entries: [entry] }),
      });
    } catch {
      say("waiting", true);
      again();
      return;
    }
    if (answer.status === 403 && !refreshed) {
      refreshed = true;
      token = "";
      continue;
    }
    if (!answer.ok) {
      say(answer.type === "opaqueredirect" || answer.status === 403 ? "sign" : answer.status === 404 ? "gone" : "waiting", true);
      again();
      return;
    }
    await settle(waits[0], await answer.json());
    pause = 0;
  }
  await look();
  say("kept", false);
}
async function settle(entry, answer) {
  const fate = answer.outcomes[0];
  if (fate.fate === "moved") {
    // Another tab took this place in the order: this one moves behind it.
    await store("readwrite", (kept) => kept.put({ ...entry, order: nextOrder() }));
    return;
  }
  if (fate.fate === "refused") remember("refused", [...recall("refused", []), `${entry.text}: ${fate.why}`]);
  await store("readwrite", (kept) => kept.delete(entry.key));
  showRefused();
  newer(answer.version);
}
async function look() {
  try {
    const answer = await fetch(`${here.base}state/`, { redirect: "manual", credentials: "same-origin", cache: "no-store" });
    if (!answer.ok) {
      say(answer.type === "opaqueredirect" ? "sign" : answer.status === 404 ? "gone" : "waiting", true);
      again();
      return false;
    }
    const state = await answer.json();
    token = state.token;
    remember("log", state.log);
    newer(state.version);
    await show();
    return true;
  } catch {
    say("waiting", true);
    again();
    return false;
  }
}
function newer(version) {
  if (version > Number(here.version)) document.getElementById("newer").textContent = words.newer;
}

// The record as it stands: what has arrived, then what still waits on this tablet.
function part(name, attributes, ...children) {
  const made = ["svg", "path"].includes(name) ? document.createElementNS("http://www.w3.org/2000/svg", name) : document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...children);
  return made;
}
function drawn(path, label) {
  return part("svg", { class: "pad", viewBox: PAD.getAttribute("viewBox"), role: "img", "aria-label": label }, part("path", { class: "stroke", d: path }));
}
async function show() {
  const log = recall("log", null);
  const waits = await queue().catch(() => []);
  if (log === null && !waits.length) return;
  const list = document.getElementById("log");
  const lines = (log ?? []).map((entry) => {
    const which = words.version.replace("#", entry.version).replace("@", entry.mark);
    const line = part("li", {}, part("p", {}, part("b", {}, entry.text), " ", part("span", { class: "hint" }, `${entry.at} \u00b7 ${which}`)));
    if (entry.photograph) line.append(part("img", { src: entry.photograph, alt: entry.text, loading: "lazy" }));
    if (entry.path) line.append(drawn(entry.path, entry.text));
    return line;
  });
  for (const entry of waits) {
    const clock = new Date(entry.done_at).toLocaleTimeString(here.lang, { hour: "2-digit", minute: "2-digit", timeZone: here.zone });
    const line = part("li", { class: "here" }, part("p", {}, part("b", {}, entry.text), " ", part("span", { class: "hint" }, `${clock} \u00b7 ${words.here}`)));
    if (entry.value.file) line.append(part("img", { src: entry.value.file, alt: entry.text }));
    if (entry.value.path) line.append(drawn(entry.value.path, entry.text));
    lines.push(line);
  }
  if (log !== null) list.replaceChildren(...lines);
  else {
    list.querySelectorAll(".here").forEach((line) => line.remove());
    list.append(...lines);
  }
  document.getElementById("empty").hidden = list.children.length > 0;
}
function showRefused() {
  const box = document.getElementById("refused");
  const refused = recall("refused", []);
  box.hidden = refused.length === 0;
  box.querySelector("ul").replaceChildren(...refused.map((text) => part("li", {}, text)));
}
document.getElementById("forget").addEventListener("click", () => {
  remember("refused", []);
  showRefused();
});

// Entries of one touch.
const addto = document.getElementById("addto");
addto.hidden = false;
addto.addEventListener("click", (event) => {
  const button = event.target.closest("button[data-did]");
  if (!button) return;
  const value = button.dataset.what ? { what: button.dataset.what } : {};
  add(button.dataset.did, value, button.dataset.said);
});

// Entries from a form: what was typed stays until it is safely kept here.
const field = (id) => document.getElementById(id);
function number(id) {
  const text = field(id).value.trim().replace(",", ".").replace("\u2212", "-");
  const found = Number(text);
  if (!/^-?\d{1,4}(\.\d{1,2})?$/.test(text) || !Number.isFinite(found)) {
    wrong.textContent = words.number;
    field(id).setAttribute("aria-invalid", "true");
    field(id).focus();
    return null;
  }
  field(id).removeAttribute("aria-invalid");
  return found;
}
const FORMS = {
  async temperature(form) {
    const found = number("t-number");
    if (found === null) return false;
    const where = field("t-where");
    const said = `${where.selectedOptions[0].textContent}: ${found} \u00b0${form.dataset.unit}`;
    return add("temperature", { number: found, unit: form.dataset.unit, where: where.value }, said);
  },
  async counted() {
    const pieces = number("c-pieces");
    if (pieces === null) return false;
    return add("counted", { pieces }, words.pieces.replace("#", pieces));
  },
  async photograph() {
    const file = field("p-file").files[0];
    const made = file && (await smaller(file));
    if (!made) {
      wrong.textContent = words.nopicture;
      return false;
    }
    const caption = field("p-caption").value.trim();
    return add("photograph", { caption, file: made }, caption ? `${words.photograph}: ${caption}` : words.photograph);
  },
  async note() {
    const text = field("n-text").value.trim();
    return text !== "" && add("note", { text }, words.noted.replace("#", text));
  },
  async receiver() {
    const name = field("r-name").value.trim();
    if (name === "" || !(await add("receiver", { name }, words.takenover.replace("#", name)))) return false;
    if (!field("s-name").value.trim()) field("s-name").value = name;
    return "keep";
  },
  async signed() {
    const name = field("s-name").value.trim();
    const typed = field("s-typed").checked;
    if (name === "" || (!typed && !strokes.length)) {
      wrong.textContent = words.unsigned;
      return false;
    }
    const value = typed ? { name, path: "", typed: true } : { name, path: written() };
    if (!(await add("signed", value, words.signed.replace("#", name)))) return false;
    wipe();
    return true;
  },
};
for (const form of document.querySelectorAll("form[data-form]")) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    const button = form.querySelector("button:not([type=button])");
    button.disabled = true;
    try {
      if ((await FORMS[form.dataset.form](form)) === true) form.reset();
    } finally {
      button.disabled = false;
    }
  });
}
async function smaller(file) {
  try {
    const found = await createImageBitmap(file, { imageOrientation: "from-image" });
    const share = Math.min(1, LARGEST / Math.max(found.width, found.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.max(1, Math.round(found.width * share));
    canvas.height = Math.max(1, Math.round(found.height * share));
    canvas.getContext("2d").drawImage(found, 0, 0, canvas.width, canvas.height);
    return canvas.toDataURL("image/jpeg", 0.82);
  } catch {
    return null;
  }
}

// The field to sign in.
const ink = document.getElementById("s-path");
let strokes = [];
let stroke = null;
function spot(event) {
  const box = PAD.getBoundingClientRect();
  const [, , wide, high] = PAD.getAttribute("viewBox").split(" ").map(Number);
  const clamp = (value, most) => Math.max(0, Math.min(most, Math.round(value)));
  return [clamp(((event.clientX - box.left) / box.width) * wide, wide), clamp(((event.clientY - box.top) / box.height) * high, high)];
}
function written() {
  return strokes
    .map((points) => points.map(([x, y], place) => `${place ? "L" : "M"}${x} ${y}`).join(""))
    .join("");
}
function wipe() {
  strokes = [];
  stroke = null;
  ink.setAttribute("d", "");
}
PAD.addEventListener("pointerdown", (event) => {
  PAD.setPointerCapture(event.pointerId);
  const [x, y] = spot(event);
  // A touch without a way still leaves a dot.
  stroke = [[x, y], [Math.min(x + 1, 600), y]];
  strokes.push(stroke);
  ink.setAttribute("d", written());
  event.preventDefault();
});
PAD.addEventListener("pointermove", (event) => {
  if (!stroke) return;
  const [x, y] = spot(event);
  const [lastX, lastY] = stroke[stroke.length - 1];
  if (Math.hypot(x - lastX, y - lastY) < 2) return;
  stroke.push([x, y]);
  ink.setAttribute("d", written());
});
for (const name of ["pointerup", "pointercancel"]) PAD.addEventListener(name, () => (stroke = null));
document.getElementById("s-clear").addEventListener("click", wipe);

// This page and its files are kept at hand by the bench's worker.
async function keepAtHand() {
  if (!("serviceWorker" in navigator)) return;
  try {
    await navigator.serviceWorker.register(here.worker, { scope: "/" });
    await navigator.serviceWorker.ready;
    if (!navigator.serviceWorker.controller) {
      await new Promise((done) => navigator.serviceWorker.addEventListener("controllerchange", done, { once: true }));
    }
    const files = [...document.querySelectorAll("link[rel=stylesheet],link[rel=preload],link[rel=icon]")].map((link) => link.href);
    files.push(...[...document.scripts].map((script) => script.src));
    for (const style of document.styleSheets) {
      for (const rule of style.cssRules) {
        const font = rule instanceof CSSFontFaceRule && /url\("([^"]+)"\)/.exec(rule.cssText);
        if (font) files.push(new URL(font[1], style.href).href);
      }
    }
    for (const address of new Set([...files, location.pathname])) await fetch(address, { credentials: "same-origin" });
    document.documentElement.dataset.atHand = "yes";
  } catch {
    // Without a worker the page still works while it is open.
  }
}

addEventListener("online", () => {
  pause = 0;
  send();
});
addEventListener("offline", () => say("waiting", true));
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") look().then((ok) => ok && send());
});
show();
showRefused();
look().then((ok) => ok && send());
keepAtHand();
