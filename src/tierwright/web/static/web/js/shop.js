// The shopping list: ticks and receipts wait for the network on this phone, and are sent once.
"use strict";
document.documentElement.classList.add("js");

const here = document.body.dataset;
const words = document.getElementById("words").dataset;
const PREFIX = `shop:${here.base}`;
const BATCH = 50;

function recall(name, otherwise) {
  try {
    return JSON.parse(localStorage.getItem(`${PREFIX}:${name}`)) ?? otherwise;
  } catch {
    return otherwise;
  }
}
function remember(name, value) {
  try {
    localStorage.setItem(`${PREFIX}:${name}`, JSON.stringify(value));
    return true;
  } catch {
    say("full", true);
    return false;
  }
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

const net = document.getElementById("net");
function say(state, waits) {
  const text = words[state].replace("#", recall("queue", []).length);
  if (net.textContent !== text) net.textContent = text;
  net.classList.toggle("waits", waits);
}
function nextOrder() {
  const order = recall("order", 0) + 1;
  return remember("order", order) ? order : 0;
}
function record(line, what, value) {
  const order = nextOrder();
  if (!order) return false;
  const entry = { key: makeKey(), device: device(), order, line, what, value: value ?? {}, done_at: new Date().toISOString() };
  if (!remember("queue", [...recall("queue", []), entry])) return false;
  const stands = recall("stands", {});
  lay(stands, entry);
  remember("stands", stands);
  send();
  return true;
}
function lay(stands, entry) {
  const line = (stands[entry.line] ??= { ticked: false, bought: null });
  if (entry.what === "bought") Object.assign(line, { ticked: true, bought: entry.value });
  else line.ticked = entry.what === "tick";
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
    if (navigator.locks) await navigator.locks.request(`${PREFIX}:send`, sendAll);
    else await sendAll();
  } finally {
    sending = false;
  }
}
function troubled(answer) {
  say(answer.type === "opaqueredirect" || answer.status === 403 ? "sign" : answer.status === 404 ? "gone" : "waiting", true);
  again();
}
async function sendAll() {
  let refreshed = false;
  while (recall("queue", []).length) {
    if (!token && !(await look())) return;
    const entries = recall("queue", []).slice(0, BATCH);
    let answer;
    try {
      answer = await fetch(`${here.base}entries/`, {
        method: "POST", redirect: "manual", credentials: "same-origin",
        headers: { "Content-Type": "application/json", "X-CSRFToken": token },
        body: JSON.stringify({ entries }),
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
      troubled(answer);
      return;
    }
    settle(await answer.json());
    pause = 0;
  }
  say("kept", false);
}
function settle(answer) {
  const fates = new Map(answer.outcomes.map((one) => [one.key, one]));
  const left = [];
  const refused = recall("refused", []);
  let back = false;
  for (const entry of recall("queue", [])) {
    const fate = fates.get(entry.key)?.fate;
    if (fate === "kept" || fate === "had") continue;
    if (fate === "refused") {
      refused.push({ ...entry, why: fates.get(entry.key).why });
      back = true;
    } else left.push(fate === "moved" || left.some((one) => one.moved) ? { ...entry, order: nextOrder(), moved: true } : entry);
  }
  remember("queue", left.map(({ moved, ...entry }) => entry));
  remember("refused", refused);
  showRefused();
  // What was refused is not so after all: ask how things stand.
  if (back) look();
}
async function look() {
  try {
    const answer = await fetch(`${here.base}state/`, { redirect: "manual", credentials: "same-origin", cache: "no-store" });
    if (!answer.ok) {
      troubled(answer);
      return false;
    }
    const state = await answer.json();
    token = state.token;
    const stands = state.lines;
    for (const entry of recall("queue", [])) lay(stands, entry);
    remember("stands", stands);
    show();
    return true;
  } catch {
    say("waiting", true);
    again();
    return false;
  }
}
function showRefused() {
  const box = document.getElementById("refused");
  const refused = recall("refused", []);
  box.hidden = refused.length === 0;
  box.querySelector("ul").replaceChildren(...refused.map((entry) => {
    const item = document.createElement("li");
    const name = document.querySelector(`[data-line="${CSS.escape(entry.line)}"] b`)?.textContent ?? entry.line;
    item.textContent = `${name}: ${entry.why}`;
    return item;
  }));
}
document.getElementById("forget").addEventListener("click", () => {
  remember("refused", []);
  showRefused();
});

const lines = [...document.querySelectorAll("[data-line]")];
const count = document.getElementById("count");
function show() {
  const stands = recall("stands", {});
  for (const line of lines) {
    const stand = stands[line.dataset.line];
    line.querySelector("input[type=checkbox]").checked = Boolean(stand?.ticked);
    const got = line.querySelector(".got");
    if (!got) continue;
    got.textContent = stand?.bought ? `\u2013 ${words.received} ${stand.bought.paid ?? ""}` : "";
    line.querySelector(".bought").hidden = Boolean(stand?.bought);
  }
  const done = lines.filter((line) => stands[line.dataset.line]?.ticked).length;
  count.textContent = count.dataset.words.replace("#", done).replace("%", lines.length);
}
for (const line of lines) {
  line.querySelector("input[type=checkbox]").addEventListener("change", (event) => {
    if (!record(line.dataset.line, event.target.checked ? "tick" : "untick")) event.target.checked = !event.target.checked;
    show();
  });
  line.querySelector(".bought")?.addEventListener("submit", (event) => {
    event.preventDefault();
    const form = event.target;
    const fields = new FormData(form);
    const wrong = form.querySelector(".wrong");
    const packs = Number(fields.get("packs"));
    const paid = fields.get("paid").trim();
    const bad = !Number.isInteger(packs) || packs < 1 ? ["packs", words.packs] : !/^\d{1,7}([.,]\d{1,3})?$/.test(paid) ? ["paid", words.paid] : null;
    for (const field of form.elements) field.removeAttribute("aria-invalid");
    wrong.textContent = bad ? bad[1] : "";
    if (bad) {
      form.elements[bad[0]].setAttribute("aria-invalid", "true");
      form.elements[bad[0]].focus();
      return;
    }
    const value = {
      packs, paid, lot: fields.get("lot").trim(), best_before: fields.get("best_before"),
      label_read: fields.get("label_read") === "yes", contains: fields.getAll("label_contains"), may_contain: fields.getAll("label_may_contain"),
    };
    if (!record(line.dataset.line, "bought", value)) return;
    show();
    form.closest("details").open = false;
    line.querySelector("summary").focus();
  });
}

// The list is kept at hand, so that a cellar without a network still shows it.
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
    // Without a worker the list still works while it is open.
  }
}

document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible") look().then((ok) => ok && send());
});
addEventListener("online", () => {
  pause = 0;
  send();
});
addEventListener("offline", () => say("waiting", recall("queue", []).length > 0));
addEventListener("storage", show);
show();
showRefused();
look().then((ok) => ok && send());
keepAtHand();
