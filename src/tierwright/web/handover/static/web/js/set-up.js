// The set-up record: photographs and signatures among its entries.
"use strict";
const here = document.body.dataset;
const words = document.getElementById("words").dataset;
const LARGEST = 1600;
const PAD = document.getElementById("s-pad");

// Entries, which hold photographs, stand in the tablet's database.
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
const shelf = {
  async list() {
    const all = await store("readonly", (kept) => kept.getAll());
    return all.filter((one) => one.base === here.base).sort((a, b) => a.order - b.order);
  },
  add: (entry) => store("readwrite", (kept) => kept.put(entry)),
  settle: (left, gone, moved) => store("readwrite", (kept) => {
    for (const key of gone) kept.delete(key);
    for (const entry of moved) kept.put(entry);
  }),
};
const { begin, look, recall, remember, say, send, stamped } = waitingEntries({
  prefix: `set-up:${here.base}`,
  shelf,
  // One at a time: a photograph fills most of what one request may hold.
  most: 1,
  sends: ({ base, text, ...entry }) => entry,
  refusal: (entry, why) => `${entry.text}: ${why}`,
  seen: (state) => {
    remember("log", state.log);
    return show();
  },
  answered: () => look(),
});

const wrong = document.getElementById("wrong");
async function add(what, value, text) {
  wrong.textContent = "";
  try {
    const entry = stamped({ base: here.base, what, value, text, version: Number(here.version) });
    if (!entry) throw new Error("no room");
    await shelf.add(entry);
  } catch {
    say("full");
    wrong.textContent = words.full;
    return false;
  }
  await show();
  send();
  return true;
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
  const waits = await shelf.list().catch(() => []);
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

show();
begin();
