// What has been ticked in the shop stays ticked on this phone, for this version of the list.
"use strict";
for (const list of document.querySelectorAll("[data-ticks]")) {
  const place = `ticks:${list.dataset.ticks}`;
  const boxes = [...list.querySelectorAll("input[type=checkbox]")];
  let kept = [];
  try {
    kept = JSON.parse(localStorage.getItem(place)) ?? [];
  } catch {
    // A phone that keeps nothing still shows the list.
  }
  for (const box of boxes) box.checked = kept.includes(box.value);
  list.addEventListener("change", () => {
    try {
      localStorage.setItem(place, JSON.stringify(boxes.filter((box) => box.checked).map((box) => box.value)));
    } catch {
      // Nothing can be kept here; the tick still shows.
    }
  });
}
