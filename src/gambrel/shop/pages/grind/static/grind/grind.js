"use strict";
/* The grinder without loading the page anew: every weight is queued first and sent until the shop has it. The queue
   is the block's own: a weight is dropped only when the shop has it, or has said why it cannot keep it. */
(() => {
  const form = document.getElementById("weigh");
  if (!form) return;
  const url = new URL(form.action).pathname;
  const field = (id) => document.getElementById(id);
  const token = () => form.querySelector("[name=csrfmiddlewaretoken]").value;
  let sending = false;
  let pause_ms = 2000;

  const replace = (html) => {
    const fresh = new DOMParser().parseFromString(html, "text/html");
    for (const id of ["said", "asked", "content-now"]) field(id).replaceWith(fresh.getElementById(id));
    const [now, then] = [field("slug"), fresh.getElementById("slug")];
    const chosen = now.value;
    now.replaceChildren(...then.children);
    if ([...now.options].some((one) => one.value === chosen)) now.value = chosen;
  };

  const tellWaiting = (signedOut) => weightQueue.tell(url, field("waiting"), signedOut);

  const flush = async () => {
    if (sending) return;
    sending = true;
    let signedOut = false;
    for (const item of weightQueue.waiting(url)) {
      const { state, html } = await weightQueue.send(item, token());
      if (html) replace(html);
      if (state === "stored") pause_ms = 2000;
      else if (state === "asked") {
        if (!field("typed").value) field("typed").value = item.typed;
        field("slug").value = item.slug;
        break;
      } else {
        signedOut = state === "signed-out";
        pause_ms = Math.min(15000, pause_ms * 1.5);
        break;
      }
    }
    sending = false;
    tellWaiting(signedOut);
    if (weightQueue.waiting(url).length) setTimeout(flush, pause_ms);
  };

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const typed = field("typed").value.trim();
    if (!typed || !field("slug").value) return;
    weightQueue.add({ url, key: weightQueue.newKey(), slug: field("slug").value, typed, tare: "" });
    field("typed").value = "";
    field("typed").focus();
    tellWaiting(false);
    flush();
  });

  addEventListener("online", flush);
  tellWaiting(false);
  flush();
})();
