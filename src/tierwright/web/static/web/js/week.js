// Bars of the week are taken up by hand or by key; without this the day list does the same.
"use strict";
const figure = document.querySelector("[data-week]");
const hold = document.getElementById("hold");
const svg = figure?.querySelector("svg");
if (svg && hold) {
  const STEP_MIN = 5;
  const dayMm = Number(figure.dataset.dayMm);
  const said = document.getElementById("taken");
  const clock = new Intl.DateTimeFormat(document.documentElement.lang, {
    timeZone: figure.dataset.zone, weekday: "short", day: "numeric", month: "short", hour: "2-digit", minute: "2-digit",
  });
  const bars = [...svg.querySelectorAll("[data-task]")];
  const same = (bar) => bars.filter((other) => other.dataset.task === bar.dataset.task);
  let up = null; // what is in the hand: { bar, steps, x, byKey }

  const moved = () => new Date(Date.parse(up.bar.dataset.begin) + up.steps * STEP_MIN * 60000);
  const draw = () => {
    const mm = (up.steps * STEP_MIN * dayMm) / 1440;
    for (const bar of same(up.bar)) bar.setAttribute("transform", `translate(${mm} 0)`);
    said.textContent = `${up.bar.getAttribute("aria-label")} → ${clock.format(moved())}`;
  };
  const take = (bar, x, byKey) => {
    up = { bar, steps: 0, x, byKey };
    for (const one of same(bar)) one.classList.add("up");
    said.hidden = false;
    said.textContent = byKey ? figure.dataset.say : bar.getAttribute("aria-label");
  };
  const drop = (keep) => {
    const { bar, steps } = up;
    if (keep && steps) {
      hold.elements.task.value = bar.dataset.task;
      hold.elements.begins.value = moved().toISOString();
      hold.requestSubmit();
    } else {
      for (const one of same(bar)) one.removeAttribute("transform");
      said.hidden = true;
    }
    for (const one of same(bar)) one.classList.remove("up");
    up = null;
  };
  const read = (bar) => {
    const line = document.querySelector(`[data-line="${CSS.escape(bar.dataset.task)}"]`);
    if (!line) return;
    line.open = true;
    line.querySelector("summary").focus();
    line.scrollIntoView({ block: "center" });
  };

  svg.addEventListener("pointerdown", (event) => {
    const bar = event.target.closest("[data-task]");
    if (!bar || event.button) return;
    if (up) drop(false);
    take(bar, event.clientX, false);
    bar.setPointerCapture(event.pointerId);
  });
  svg.addEventListener("pointermove", (event) => {
    if (!up || up.byKey) return;
    const perPixel = 1 / svg.getScreenCTM().a;
    up.steps = Math.round(((event.clientX - up.x) * perPixel * 1440) / dayMm / STEP_MIN);
    draw();
  });
  svg.addEventListener("pointerup", () => {
    if (!up || up.byKey) return;
    const { bar, steps } = up;
    drop(true);
    if (!steps) read(bar);
  });
  svg.addEventListener("pointercancel", () => up && drop(false));

  // One stop for the tab key; the arrows go from bar to bar.
  const first = bars[0];
  if (first) first.setAttribute("tabindex", "0");
  const go = (from, by) => {
    const to = bars[bars.indexOf(from) + by];
    if (!to) return;
    from.setAttribute("tabindex", "-1");
    to.setAttribute("tabindex", "0");
    to.focus();
    to.scrollIntoView({ block: "nearest", inline: "center" });
  };
  svg.addEventListener("keydown", (event) => {
    const bar = event.target.closest("[data-task]");
    if (!bar) return;
    const arrow = { ArrowLeft: -1, ArrowRight: 1 }[event.key];
    if (up && arrow) {
      up.steps += arrow * (event.shiftKey ? 12 : 1);
      draw();
    } else if (arrow) go(bar, arrow);
    else if (event.key === "Enter" || event.key === " ") {
      if (up) drop(true);
      else take(bar, 0, true);
    } else if (event.key === "Escape" && up) drop(false);
    else return;
    event.preventDefault();
  });
}
