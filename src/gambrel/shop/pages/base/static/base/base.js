// What every page gets when scripts run: errors come into view, and a form is not sent twice by a nervous finger.
"use strict";

document.addEventListener("DOMContentLoaded", () => {
  const errors = document.getElementById("form-errors");
  if (errors) errors.focus();
  // On a phone the steps are a band that slides: the one that is open stands where it can be seen.
  const here = document.querySelector(".top nav a[aria-current]");
  const band = here && here.closest("ul");
  if (band) band.scrollLeft = here.offsetLeft - (band.clientWidth - here.clientWidth) / 2;
});

// A page that waits for something, or hangs on the wall, looks again by itself while it is in sight.
document.addEventListener("DOMContentLoaded", () => {
  const waiting = document.querySelector("[data-look-again-s]");
  if (!waiting) return;
  setInterval(() => {
    if (navigator.onLine && !document.hidden) window.location.reload();
  }, 1000 * Number(waiting.dataset.lookAgainS));
});

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.method !== "post" || form.dataset.again !== undefined) return;
  if (form.dataset.sent) { event.preventDefault(); return; }
  form.dataset.sent = "yes";
  // Coming back by the browser's arrow makes the form usable again.
  window.addEventListener("pageshow", () => { delete form.dataset.sent; }, { once: true });
});

// A page that the network did not bring says so.
document.addEventListener("DOMContentLoaded", () => {
  const told = document.getElementById("no-network");
  const show = () => { told.hidden = navigator.onLine; };
  if (!told) return;
  for (const change of ["online", "offline"]) window.addEventListener(change, show);
  show();
});

if ("serviceWorker" in navigator) navigator.serviceWorker.register("/worker.js").catch(() => {});
