// Moving supports on the plan, by pointer or by the arrow keys; the form's lines are what is sent, and work without this.
"use strict";
(() => {
  const words = document.getElementById("places-words")?.dataset;
  const moved = document.getElementById("moved");
  const sheet = document.getElementById("form");
  if (!words || !moved || !sheet) return;
  let focused = "";
  let last = null;
  // While a support is held the drawing stays; an answer that came meanwhile is asked for again.
  let held = false, missed = false;

  // The lines of the row whose tier is drawn.
  const linesOf = (tier) => {
    const row = [...sheet.elements].find((field) => field.name.endsWith("].tier") && field.value.trim() === tier);
    return row ? sheet.elements.namedItem(row.name.replace(/\.tier$/, ".places")) : null;
  };
  const put = (area, number, text) => {
    const lines = area.value.split("\n").filter((line) => line.trim());
    if (number > lines.length) return "";
    const was = lines[number - 1];
    lines[number - 1] = text;
    area.value = lines.join("\n");
    area.dispatchEvent(new Event("input", { bubbles: true }));
    return was;
  };
  const move = (mark, dx, dy) => {
    const [tier, number] = mark.id.match(/-(\d+)-mark-(\d+)$/).slice(1);
    const area = linesOf(tier);
    if (!area) return;
    const x = Number(mark.dataset.x) + dx, y = Number(mark.dataset.y) + dy;
    const was = put(area, Number(number), `${x.toFixed(1)} mm, ${y.toFixed(1)} mm`);
    if (!was) return;
    last ??= { tier, number: Number(number), was };
    mark.dataset.x = x;
    mark.dataset.y = y;
    focused = mark.id;
    place(mark);
    mark.setAttribute("aria-label", label(mark, number));
  };
  // On paper one unit is a millimetre; the drawing's own scale leads to the cake's.
  const place = (mark) => {
    const scale = Number(mark.dataset.scale);
    const dx = (Number(mark.dataset.x) - Number(mark.dataset.fromX)) / scale;
    const dy = (Number(mark.dataset.y) - Number(mark.dataset.fromY)) / scale;
    mark.setAttribute("transform", `translate(${dx} ${-dy})`);
  };
  const label = (mark, number) => words.support
    .replace("NUMBER", number)
    .replace("ACROSS", Number(mark.dataset.x).toFixed(0))
    .replace("AWAY", Number(mark.dataset.y).toFixed(0));

  const arm = (mark) => {
    const number = mark.id.match(/-mark-(\d+)$/)[1];
    mark.dataset.fromX = mark.dataset.x;
    mark.dataset.fromY = mark.dataset.y;
    // What opens a sheet elsewhere is moved here.
    mark.removeAttribute("data-sheet");
    mark.setAttribute("tabindex", "0");
    mark.setAttribute("role", "button");
    mark.setAttribute("aria-label", label(mark, number));
    mark.classList.add("grip");
    // A picture holds nothing to press; a group may.
    mark.ownerSVGElement.setAttribute("role", "group");
    const hold = document.createElementNS("http://www.w3.org/2000/svg", "circle");
    const spot = mark.querySelector("circle");
    for (const name of ["cx", "cy"]) hold.setAttribute(name, spot.getAttribute(name));
    hold.setAttribute("r", "6");
    hold.setAttribute("class", "hold");
    mark.prepend(hold);
    mark.addEventListener("keydown", (event) => {
      const step = event.shiftKey ? 5 : 1;
      const way = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, step], ArrowDown: [0, -step] }[event.key];
      if (!way) return;
      event.preventDefault();
      move(mark, ...way);
    });
    mark.addEventListener("pointerdown", (event) => {
      event.preventDefault();
      held = true;
      mark.focus();
      mark.setPointerCapture(event.pointerId);
      const from = { x: event.clientX, y: event.clientY };
      const scale = Number(mark.dataset.scale);
      const perUnit = mark.ownerSVGElement.getScreenCTM().a;
      const start = mark.getAttribute("transform") ?? "";
      const way = (to) => [(to.clientX - from.x) / perUnit, (to.clientY - from.y) / perUnit];
      const follow = (to) => {
        const [dx, dy] = way(to);
        mark.setAttribute("transform", `${start} translate(${dx} ${dy})`);
      };
      const done = (to) => {
        mark.removeEventListener("pointermove", follow);
        mark.removeEventListener("pointerup", done);
        mark.removeEventListener("pointercancel", done);
        const [dx, dy] = way(to);
        held = false;
        if (to.type === "pointercancel" || Math.hypot(dx, dy) * scale < 0.5) {
          place(mark);
          if (missed) sheet.dispatchEvent(new Event("input", { bubbles: true }));
        } else move(mark, dx * scale, -dy * scale);
        missed = false;
      };
      mark.addEventListener("pointermove", follow);
      mark.addEventListener("pointerup", done);
      mark.addEventListener("pointercancel", done);
    });
  };
  const look = () => {
    for (const mark of moved.querySelectorAll("svg [id*='-mark-'][data-x]:not(.grip)")) arm(mark);
    if (focused) document.getElementById(focused)?.focus();
    // Where nothing carries any more there is no plan to move on: one step leads back to where it was drawn last.
    const said = moved.querySelector(".refused, .moved");
    if (moved.querySelector(".grip")) last = null;
    if (!said || !last || moved.querySelector("[data-back]")) return;
    const back = document.createElement("button");
    back.type = "button";
    back.dataset.back = "";
    back.textContent = words.back;
    back.addEventListener("click", () => {
      const area = linesOf(last.tier);
      if (area) put(area, last.number, last.was);
      last = null;
    });
    said.querySelector("h2").after(back);
  };
  document.addEventListener("htmx:beforeSwap", (event) => {
    if (!held || event.detail.target !== moved) return;
    event.detail.shouldSwap = false;
    missed = true;
  });
  document.addEventListener("htmx:afterSettle", look);
  look();
})();
