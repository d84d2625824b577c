// The bench: one step at a time, and clocks that survive a reload.
"use strict";
const here = document.body.dataset;
const words = document.getElementById("words").dataset;
const { begin, recall, remember, send, shelf, stamped } = waitingEntries({
  prefix: `bench:${here.base}`,
  most: 50,
  refusal: (entry, why) => `${entry.step}, ${entry.what} ${entry.value.number ?? ""} ${entry.value.unit ?? ""}: ${why}`,
  seen: (state) => {
    const stands = state.steps;
    for (const entry of shelf.list()) lay(stands, entry);
    remember("stands", stands);
    show();
  },
});
function record(step, what, value) {
  const entry = stamped({ step, what, value: value ?? {}, sheet: here.sheet, version: Number(here.version) });
  if (!entry || !shelf.add(entry)) return false;
  const stands = recall("stands", {});
  lay(stands, entry);
  remember("stands", stands);
  send();
  return true;
}
function lay(stands, entry) {
  const step = (stands[entry.step] ??= { ticked: false, measured: {} });
  if (entry.what === "tick" || entry.what === "untick") step.ticked = entry.what === "tick";
  else step.measured[entry.what] = entry.value;
}

// Steps.
const list = document.getElementById("steps");
const steps = list ? [...list.children] : [];
const hand = document.getElementById("hand");
const finish = document.getElementById("finish");
let at = 0;
function ticked(step) {
  return recall("stands", {})[step.dataset.step]?.ticked ?? false;
}
function show() {
  const stands = recall("stands", {});
  for (const link of document.querySelectorAll("[data-steps]")) {
    const keys = link.dataset.steps.split("|");
    link.querySelector("[data-done]").textContent = keys.filter((key) => stands[key]?.ticked).length;
  }
  steps.forEach((step, place) => {
    step.hidden = place !== at;
    const stand = stands[step.dataset.step];
    step.querySelector(".ticked").hidden = !stand?.ticked;
    for (const button of step.querySelectorAll("[data-do=measure]")) {
      const got = stand?.measured[button.dataset.what];
      const unit = got && { C: "\u00b0C", F: "\u00b0F" }[got.unit] || got?.unit;
      button.querySelector(".got").textContent = got ? `${got.number} ${unit}` : "\u2013";
    }
  });
  if (!list) return;
  finish.hidden = at < steps.length;
  const tick = hand.querySelector("[data-do=tick]");
  hand.hidden = false;
  hand.querySelector("[data-do=back]").disabled = at === 0;
  hand.querySelector("[data-do=on]").disabled = at >= steps.length;
  tick.disabled = at >= steps.length;
  tick.textContent = at < steps.length && ticked(steps[at]) ? words.undo : words.done;
}
function go(place) {
  at = Math.max(0, Math.min(steps.length, place));
  remember(`at:${list.dataset.at}`, at);
  show();
  run();
  scrollTo(0, 0);
  (steps[at] ?? finish).focus({ preventScroll: true });
}
if (list) {
  const hash = /^#step-(\d+)$/.exec(location.hash);
  const open = steps.findIndex((step) => !ticked(step));
  const left = recall(`at:${list.dataset.at}`, null);
  at = hash ? Math.min(steps.length - 1, Number(hash[1]) - 1) : left ?? Math.max(0, open);
  addEventListener("hashchange", () => {
    const to = /^#step-(\d+)$/.exec(location.hash);
    if (to) go(Number(to[1]) - 1);
  });
  hand.addEventListener("click", (event) => {
    const what = event.target.closest("button")?.dataset.do;
    if (what === "back") go(at - 1);
    if (what === "on") go(at + 1);
    if (what === "tick") {
      const step = steps[at];
      if (ticked(step)) {
        if (record(step.dataset.step, "untick")) show();
      } else if (record(step.dataset.step, "tick")) {
        dropClock(step);
        go(at + 1);
      }
    }
  });
  list.addEventListener("click", (event) => {
    const button = event.target.closest("button");
    if (button?.dataset.do === "measure") openPad(button);
    if (button?.dataset.do === "start") startClock(button.closest(".step"));
    if (button?.dataset.do === "stop") stopClock(button.closest(".step"));
  });
  addEventListener("keydown", (event) => {
    if (event.target.closest("input,dialog") || event.ctrlKey || event.metaKey || event.altKey) return;
    if (event.key === "ArrowRight") go(at + 1);
    if (event.key === "ArrowLeft") go(at - 1);
  });
}

// The key pad.
const pad = document.getElementById("pad");
let asked = null;
function openPad(button) {
  asked = button;
  const typed = document.getElementById("pad-typed");
  const expected = document.getElementById("pad-expected");
  document.getElementById("pad-title").textContent = button.dataset.label;
  expected.textContent = button.dataset.expected ? `${expected.dataset.says} ${button.dataset.expected}` : "";
  document.getElementById("pad-unit").textContent = button.dataset.unitWords;
  document.getElementById("pad-wrong").textContent = "";
  typed.value = "";
  if (button.dataset.what === "minutes") {
    const began = recall("clocks", {})[clockOf(button.closest(".step"))];
    if (began) typed.value = String(Math.round((Date.now() - began) / 60000));
  }
  pad.showModal();
  typed.focus();
}
if (pad) {
  const typed = document.getElementById("pad-typed");
  pad.querySelector(".keys").addEventListener("click", (event) => {
    const key = event.target.closest("button")?.dataset.key;
    if (!key) return;
    typed.value = key === "rub" ? typed.value.slice(0, -1) : typed.value + key;
  });
  const enter = () => {
    const text = typed.value.trim().replace(",", ".");
    const number = Number(text);
    if (!/^-?\d{1,6}(\.\d{0,3})?$/.test(text) || !Number.isFinite(number)) {
      document.getElementById("pad-wrong").textContent = words.number;
      typed.setAttribute("aria-invalid", "true");
      return;
    }
    typed.removeAttribute("aria-invalid");
    const value = { number, unit: asked.dataset.unit };
    if (!record(asked.closest(".step").dataset.step, asked.dataset.what, value)) return;
    pad.close();
    show();
    asked.focus();
  };
  document.getElementById("pad-keep").addEventListener("click", enter);
  typed.addEventListener("keydown", (event) => {
    if (event.key !== "Enter") return;
    // The same key would press the button that the focus goes back to.
    event.preventDefault();
    enter();
  });
  document.getElementById("pad-close").addEventListener("click", () => pad.close());
}

// Clocks: when each began and what falls due stands on this tablet, so a reload or another sheet changes nothing.
function clockOf(step) {
  return step.dataset.clock || step.dataset.step;
}
function startClock(step) {
  const clock = clockOf(step);
  const began = Date.now();
  remember("clocks", { ...recall("clocks", {}), [clock]: began });
  const due = recall("due", []).filter((one) => one.clock !== clock);
  steps.forEach((one, place) => {
    if (!one.dataset.timer || clockOf(one) !== clock) return;
    due.push({ clock, step: one.dataset.step, text: one.dataset.text, to: `${location.pathname}#step-${place + 1}`,
      at: began + 1000 * Number(one.dataset.timer), rung: false });
  });
  remember("due", due);
  run();
}
function stopClock(step) {
  const clock = clockOf(step);
  const clocks = recall("clocks", {});
  delete clocks[clock];
  remember("clocks", clocks);
  remember("due", recall("due", []).filter((one) => one.clock !== clock));
  run();
}
function dropClock(step) {
  remember("due", recall("due", []).filter((one) => one.step !== step.dataset.step));
}
function minutes(ms) {
  const seconds = Math.floor(Math.abs(ms) / 1000);
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}
const strip = document.getElementById("clocks");
const rings = document.getElementById("rings");
function run() {
  const now = Date.now();
  const clocks = recall("clocks", {});
  const due = recall("due", []).sort((a, b) => a.at - b.at);
  strip.hidden = due.length === 0;
  while (strip.children.length > due.length) strip.lastChild.remove();
  due.forEach((one, place) => {
    let line = strip.children[place];
    if (!line) {
      line = document.createElement("li");
      line.append(document.createElement("a"), document.createElement("span"));
      line.lastChild.className = "left";
      strip.append(line);
    }
    line.firstChild.textContent = one.text;
    line.firstChild.href = one.to;
    line.lastChild.textContent = one.at > now ? minutes(one.at - now) : `${words.over} ${minutes(now - one.at)}`;
    line.classList.toggle("due", one.at <= now);
    if (one.at <= now && !one.rung) {
      one.rung = true;
      remember("due", due);
      rings.textContent = words.rings.replace("#", one.text);
      ring();
    }
  });
  const step = steps[at];
  const clock = step?.querySelector(".clock");
  if (!clock) return;
  const began = clocks[clockOf(step)];
  clock.querySelector("[data-do=start]").hidden = Boolean(began);
  clock.querySelector("[data-do=stop]").hidden = !began;
  const length = 1000 * Number(step.dataset.timer ?? 0);
  const left = began ? began + length - now : 0;
  clock.querySelector(".time").textContent =
    !began ? "" : !length ? minutes(now - began) : left > 0 ? minutes(left) : `${words.now}, ${words.over} ${minutes(left)}`;
}
function ring() {
  navigator.vibrate?.([300, 150, 300]);
  try {
    const sound = new AudioContext();
    const tone = sound.createOscillator();
    tone.frequency.value = 880;
    tone.connect(sound.destination);
    tone.start();
    tone.stop(sound.currentTime + 0.6);
    tone.onended = () => sound.close();
  } catch {
    // A tablet that makes no sound still shows it.
  }
}
setInterval(run, 1000);

// The screen stays on while the page is seen.
const awake = document.getElementById("awake");
async function stayAwake() {
  if (document.visibilityState !== "visible") return;
  try {
    const lock = await navigator.wakeLock.request("screen");
    awake.textContent = words.awake;
    lock.addEventListener("release", () => (awake.textContent = words.dark));
  } catch {
    awake.textContent = words.dark;
  }
}
document.addEventListener("visibilitychange", stayAwake);

addEventListener("storage", show);
show();
run();
stayAwake();
begin([here.base, ...[...document.querySelectorAll("a[data-keep]")].map((link) => link.href)]);
