// Says that the photograph is on its way: a phone on a weak network takes a while.
"use strict";

for (const form of document.querySelectorAll("[data-take]")) {
  form.addEventListener("submit", () => { form.querySelector("[data-take-status]").textContent = form.dataset.busy; });
}
