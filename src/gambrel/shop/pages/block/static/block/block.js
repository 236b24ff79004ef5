"use strict";
/* The block without loading the page anew: every weight is queued first and sent until the shop has it. */
(() => {
  const work = document.getElementById("work");
  const form = document.getElementById("weigh");
  const field = (id) => document.getElementById(id);
  const PARTS = ["undo", "balance", "pieces", "lines"];

  const say = (text, good) => {
    const said = field("said");
    said.textContent = text;
    said.classList.toggle("good", good);
  };

  const choose = (slug) => {
    const target = work.querySelector(`[data-slug="${CSS.escape(slug)}"]`);
    field("slug").value = slug;
    for (const one of work.querySelectorAll("[data-slug]")) {
      const is = one === target;
      one.classList.toggle("chosen", is);
      if (is) one.setAttribute("aria-current", "true"); else one.removeAttribute("aria-current");
    }
    if (!target) return;
    field("chosen").textContent = target.querySelector(".name").textContent;
    field("chosen-expected").replaceChildren(target.querySelector(".expected").cloneNode(true), " ",
      target.querySelector(".got").cloneNode(true));
  };

  const replace = (html, ids) => {
    const fresh = new DOMParser().parseFromString(html, "text/html");
    for (const id of ids) {
      const [now, then] = [field(id), fresh.getElementById(id)];
      const busy = now && (now.contains(document.activeElement) || now.querySelector("details[open]"));
      if (now && then && now.innerHTML !== then.innerHTML && !(busy && id === "pieces")) now.replaceWith(then);
    }
    if (form) choose(field("slug").value);
    return fresh;
  };

  const beep = field("beep");
  const wantsSound = () => localStorage.getItem("block-sound") === "yes";
  const sound = () => {
    if (!wantsSound()) return;
    if (navigator.vibrate) navigator.vibrate(80);
    const context = new AudioContext();
    const tone = context.createOscillator();
    tone.frequency.value = 880;
    tone.connect(context.destination);
    tone.start();
    tone.stop(context.currentTime + 0.12);
    tone.onended = () => context.close();
  };

  const sender = weightQueue.sender({
    stored: (html) => {
      say(replace(html, PARTS).getElementById("said").textContent, true);
      sound();
    },
    takeBack: form && ((item) => {
      if (item) {
        choose(item.slug);
        field("typed").value = item.typed;
        field("tare").value = item.tare;
      }
      field("typed").focus();
    }),
  });
  if (!form) return;

  document.addEventListener("submit", async (event) => {
    const sent = event.target;
    if (sent === form) {
      event.preventDefault();
      const typed = field("typed").value.trim();
      if (!typed || !field("slug").value) { field("typed").focus(); return; }
      sender.weigh({ key: weightQueue.newKey(), slug: field("slug").value, name: field("chosen").textContent, typed,
        tare: field("tare").value.trim() });
      field("typed").value = "";
      field("typed").focus();
    } else if (sent.classList.contains("undo")) {
      event.preventDefault();
      const answer = await fetch(sent.action, { method: "POST", body: new URLSearchParams(new FormData(sent)),
        redirect: "manual", headers: { "X-Part": "1" } }).catch(() => null);
      if (!answer || answer.type === "opaqueredirect" || answer.status >= 500) { sent.submit(); return; }
      const html = await answer.text();
      if (answer.status === 400) weightQueue.show(html);
      say(replace(html, PARTS).getElementById("said").textContent, false);
      field("typed").focus();
    }
  });

  document.addEventListener("click", (event) => {
    const target = event.target.closest("[data-slug]");
    if (target) {
      event.preventDefault();
      choose(target.dataset.slug);
      form.scrollIntoView({ block: "nearest" });
      field("typed").focus();
    }
  });

  /* A scale or scanner types wherever the focus is: a digit goes into the field. */
  document.addEventListener("keydown", (event) => {
    const busy = event.target.closest && event.target.closest("input, select, textarea");
    if (!busy && /^[\d.,]$/.test(event.key) && !event.ctrlKey && !event.altKey && !event.metaKey) field("typed").focus();
  });

  const keypad = document.createElement("div");
  keypad.className = "keypad";
  for (const key of ["7", "8", "9", "4", "5", "6", "1", "2", "3", ".", "0", "⌫"]) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "big quiet";
    button.textContent = key;
    if (key === "⌫") button.setAttribute("aria-label", form.dataset.erase);
    button.addEventListener("click", () => {
      const typed = field("typed");
      typed.value = key === "⌫" ? typed.value.slice(0, -1) : typed.value + key;
    });
    keypad.append(button);
  }
  form.querySelector(".tare").before(keypad);
  if (matchMedia("(pointer: coarse)").matches) field("typed").setAttribute("inputmode", "none");

  const showSound = () => beep.setAttribute("aria-pressed", String(wantsSound()));
  beep.hidden = false;
  beep.addEventListener("click", () => {
    localStorage.setItem("block-sound", wantsSound() ? "no" : "yes");
    showSound();
    sound();
  });
  showSound();

  /* What another tablet weighs on the same side appears here too. */
  setInterval(async () => {
    if (document.hidden || sender.isBusy()) return;
    const answer = await fetch(location.pathname, { headers: { "X-Part": "1" }, redirect: "manual" }).catch(() => null);
    if (answer && answer.ok && !sender.isBusy()) replace(await answer.text(), PARTS);
  }, 5000);
})();
