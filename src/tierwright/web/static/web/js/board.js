// Small conveniences; every page works without them.
"use strict";
document.documentElement.classList.add("js");

// A figure opens its working in place.
const working = document.getElementById("working");
document.addEventListener("click", async (event) => {
  const link = event.target.closest("a[data-working]");
  if (link && !event.ctrlKey && !event.metaKey && !event.shiftKey && working.showModal) {
    event.preventDefault();
    try {
      const answer = await fetch(link.href, { headers: { "X-Part": "working" }, redirect: "error" });
      if (!answer.ok) throw new Error(String(answer.status));
      document.getElementById("working-body").innerHTML = await answer.text();
      working.showModal();
    } catch {
      location.href = link.href;
    }
    return;
  }
  // Touching a tier or a coat opens the sheet that sets it; the line does the same for the keyboard.
  const part = event.target.closest("[data-drawing] [data-sheet]");
  if (part) {
    const to = part.closest("[data-drawing]").dataset.drawing.replace("KEY", part.dataset.sheet);
    location.href = to;
  }
});

// On a narrow screen the line scrolls: bring the open sheet into view without moving the page.
const here = document.querySelector(".hung [aria-current]");
const line = document.querySelector("nav.line");
if (here && line && line.scrollWidth > line.clientWidth) line.scrollLeft = here.offsetLeft - 24;

// After a refusal the list of what is wrong is read first.
document.querySelector("[data-focus]")?.focus();

// What is typed is kept in this tab until the server has it: a lost network, an ended sign-in or a reload loses nothing.
const SAFE = "typed:";
// Kept or dropped: what was sent has arrived, and must not come back into the form.
if (document.querySelector("[data-done]")) {
  for (const key of Object.keys(sessionStorage)) {
    if (key.startsWith(SAFE) && JSON.parse(sessionStorage.getItem(key)).sent) sessionStorage.removeItem(key);
  }
}
const form = document.querySelector("form[data-typed]");
if (form) {
  const place = SAFE + location.pathname;
  const mine = (name) => name && !["csrfmiddlewaretoken", "base", "seen", "file", "settles"].includes(name) && !name.includes(":");
  const gather = () => [...new FormData(form)].filter(([name, value]) => mine(name) && typeof value === "string");
  const save = (sent) => sessionStorage.setItem(place, JSON.stringify({ sent, fields: gather() }));
  // A page that answers to what was sent already holds it.
  if (form.dataset.taken) sessionStorage.removeItem(place);
  const left = JSON.parse(sessionStorage.getItem(place) ?? "null");
  if (left && JSON.stringify(left.fields) !== JSON.stringify(gather())) {
    const byName = new Map(left.fields);
    for (const field of form.elements) {
      if (!mine(field.name)) continue;
      if (field.type === "checkbox" || field.type === "radio") field.checked = byName.get(field.name) === field.value;
      else if (field.type !== "file" && byName.has(field.name)) field.value = byName.get(field.name);
    }
    // Not before htmx has looked at the page.
    addEventListener("load", () => window.htmx?.trigger(form, "restored"));
  }
  form.addEventListener("input", () => save(false));
  form.addEventListener("submit", () => save(true));
  // One request is under way at a time; what was typed while it was is not safe yet.
  let sent = "";
  form.addEventListener("htmx:beforeRequest", () => { sent = JSON.stringify(gather()); });
  form.addEventListener("htmx:afterRequest", (event) => {
    if (event.detail.successful && sent === JSON.stringify(gather())) sessionStorage.removeItem(place);
  });
}
// What a live answer says beside a field also marks the field.
document.addEventListener("htmx:afterSettle", () => {
  for (const slot of document.querySelectorAll("p.wrong[id^=w-]")) {
    const field = document.getElementById(slot.id.slice(2));
    if (field) field.setAttribute("aria-invalid", slot.textContent.trim() ? "true" : "false");
  }
});
