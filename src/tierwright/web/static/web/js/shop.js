// The shopping list: ticks and receipts.
"use strict";
const here = document.body.dataset;
const words = document.getElementById("words").dataset;
const { begin, look, recall, remember, send, shelf, stamped } = waitingEntries({
  prefix: `shop:${here.base}`,
  most: 50,
  refusal: (entry, why) => {
    const name = document.querySelector(`[data-line="${CSS.escape(entry.line)}"] b`)?.textContent ?? entry.line;
    return `${name}: ${why}`;
  },
  seen: (state) => {
    const stands = state.lines;
    for (const entry of shelf.list()) lay(stands, entry);
    remember("stands", stands);
    show();
  },
  // What was refused is not so after all: ask how things stand.
  answered: (returned) => returned && look(),
});
function record(line, what, value) {
  const entry = stamped({ line, what, value: value ?? {} });
  if (!entry || !shelf.add(entry)) return false;
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

addEventListener("storage", show);
show();
begin();
