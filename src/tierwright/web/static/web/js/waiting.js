// Entries that wait for the network on this device: kept here before the page says that they are, sent in their order,
// and sent again until each is answered. The bench, the shopping list and the set-up record are built on it.
"use strict";
document.documentElement.classList.add("js");

// Takes what a page does its own way: the prefix of its names in the device's store; where entries are kept, if not
// there; how many are sent at once; what of an entry is sent; what is said of a refused one; and what is to be done with
// the state of the server and with its answer. Gives what a page needs to keep, to read and to send.
function waitingEntries({ prefix, shelf, most, sends, refusal, seen, answered }) {
  const here = document.body.dataset;
  const words = document.getElementById("words").dataset;
  const net = document.getElementById("net");
  let token = "";
  let sending = false;
  let pause = 0;
  let later = 0;

  function recall(name, otherwise) {
    try {
      return JSON.parse(localStorage.getItem(`${prefix}:${name}`)) ?? otherwise;
    } catch {
      return otherwise;
    }
  }
  function remember(name, value) {
    try {
      localStorage.setItem(`${prefix}:${name}`, JSON.stringify(value));
      return true;
    } catch {
      say("full");
      return false;
    }
  }
  shelf ??= {
    list: () => recall("queue", []),
    add: (entry) => remember("queue", [...recall("queue", []), entry]),
    settle: (left) => remember("queue", left),
  };

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
  function nextOrder() {
    const order = recall("order", 0) + 1;
    return remember("order", order) ? order : 0;
  }
  // An entry with its key and its place in the order; null where this device has no room left.
  function stamped(content) {
    const order = nextOrder();
    return order ? { key: makeKey(), device: device(), order, ...content, done_at: new Date().toISOString() } : null;
  }

  async function say(state) {
    let count = 0;
    try {
      count = (await shelf.list()).length;
    } catch {
      // What cannot be counted is said without a number.
    }
    const text = words[state].replace("#", count);
    if (net.textContent !== text) net.textContent = text;
    net.classList.toggle("waits", state !== "kept");
  }
  function again() {
    clearTimeout(later);
    pause = Math.min(30000, Math.max(2000, pause * 2));
    later = setTimeout(send, pause);
  }
  function troubled(answer) {
    const closed = answer?.type === "opaqueredirect" || answer?.status === 403;
    say(closed ? "sign" : answer?.status === 404 ? "gone" : "waiting");
    again();
  }

  async function send() {
    if (sending) return;
    sending = true;
    try {
      // Two tabs of one device do not send at the same time.
      if (navigator.locks) await navigator.locks.request(`${prefix}:send`, sendAll);
      else await sendAll();
    } finally {
      sending = false;
    }
  }
  async function sendAll() {
    let refreshed = false;
    let sent = false;
    let returned = 0;
    for (let waits = await shelf.list(); waits.length; waits = await shelf.list()) {
      if (!token && !(await look())) return;
      let answer;
      try {
        answer = await fetch(`${here.base}entries/`, {
          method: "POST", redirect: "manual", credentials: "same-origin",
          headers: { "Content-Type": "application/json", "X-CSRFToken": token },
          body: JSON.stringify({ entries: waits.slice(0, most).map(sends ?? ((entry) => entry)) }),
        });
      } catch {
        troubled();
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
      returned += await settle(await answer.json());
      sent = true;
      pause = 0;
    }
    if (sent) await answered?.(returned);
    await say("kept");
  }
  async function settle(answer) {
    const fates = new Map(answer.outcomes.map((one) => [one.key, one]));
    const left = [];
    const gone = [];
    const moved = [];
    const refused = recall("refused", []);
    let behind = false;
    for (const entry of await shelf.list()) {
      const found = fates.get(entry.key);
      if (["kept", "had", "refused"].includes(found?.fate)) {
        gone.push(entry.key);
        if (found.fate === "refused") refused.push(refusal(entry, found.why));
        continue;
      }
      // Another tab took this place in the order: everything from here on moves behind it.
      behind ||= found?.fate === "moved";
      if (behind) moved.push({ ...entry, order: nextOrder() });
      left.push(behind ? moved[moved.length - 1] : entry);
    }
    await shelf.settle(left, gone, moved);
    remember("refused", refused);
    showRefused();
    newer(answer.version);
    return answer.outcomes.filter((one) => one.fate === "refused").length;
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
      await seen(state);
      newer(state.version);
      return true;
    } catch {
      troubled();
      return false;
    }
  }
  function newer(version) {
    if (version > Number(here.version)) document.querySelector("[data-newer-version]").textContent = words.newer;
  }
  function showRefused() {
    const box = document.getElementById("refused");
    const refused = recall("refused", []);
    box.hidden = refused.length === 0;
    box.querySelector("ul").replaceChildren(...refused.map((text) => {
      const line = document.createElement("li");
      line.textContent = text;
      return line;
    }));
  }

  // The page, its files and the addresses that are named are fetched once, so that all of them are at hand later.
  async function keepAtHand(addresses) {
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
      for (const address of new Set([...files, location.pathname, ...addresses])) await fetch(address, { credentials: "same-origin" });
      document.documentElement.dataset.atHand = "yes";
    } catch {
      // Without a worker the page still works while it is open.
    }
  }

  function begin(addresses = []) {
    document.getElementById("forget").addEventListener("click", () => {
      remember("refused", []);
      showRefused();
    });
    addEventListener("online", () => {
      pause = 0;
      send();
    });
    addEventListener("offline", async () => say((await shelf.list()).length ? "waiting" : "kept"));
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") look().then((ok) => ok && send());
    });
    showRefused();
    look().then((ok) => ok && send());
    keepAtHand(addresses);
  }
  return { begin, look, recall, remember, say, send, shelf, stamped };
}
