"use strict";
/* The grinder without loading the page anew: every weight is queued first and sent until the shop has it. The queue
   is the block's own: a weight is dropped only when the shop has it, or a person has answered what the shop said. */
(() => {
  const form = document.getElementById("weigh");
  const field = (id) => document.getElementById(id);

  const replace = (html) => {
    const fresh = new DOMParser().parseFromString(html, "text/html");
    for (const id of ["said", "content-now"]) field(id).replaceWith(fresh.getElementById(id));
    if (!form) return;
    const [now, then] = [field("slug"), fresh.getElementById("slug")];
    const chosen = now.value;
    now.replaceChildren(...then.children);
    if ([...now.options].some((one) => one.value === chosen)) now.value = chosen;
  };

  const sender = weightQueue.sender({
    stored: replace,
    takeBack: form && ((item) => {
      if (item) {
        field("slug").value = item.slug;
        field("typed").value = item.typed;
      }
      field("typed").focus();
    }),
  });
  if (!form) return;

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const typed = field("typed").value.trim();
    const tub = field("slug");
    if (!typed || !tub.value) return;
    sender.weigh({ key: weightQueue.newKey(), slug: tub.value, name: tub.selectedOptions[0].text, typed, tare: "" });
    field("typed").value = "";
    field("typed").focus();
  });
})();
