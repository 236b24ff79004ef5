"use strict";
/* The block without loading the page anew: every weight is queued first and sent until the shop has it. */
(() => {
  const work = document.getElementById("work");
  const form = document.getElementById("weigh");
  if (!work || !form) return;
  const url = new URL(form.action).pathname;
  const field = (id) => document.getElementById(id);
  const token = () => form.querySelector("[name=csrfmiddlewaretoken]").value;
  const PARTS = ["undo", "balance", "pieces", "lines"];
  let sending = false;
  let pause_ms = 2000;

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
    choose(field("slug").value);
    return fresh;
  };

  /* What is asked stays until it is answered: a second doubt stands beside the first, none is lost. */
  const settleFindings = () => {
    for (const one of field("asked").querySelectorAll(".asked")) if (!one.querySelector(".sure")) one.remove();
  };
  const showAsked = (html) => {
    const fresh = new DOMParser().parseFromString(html, "text/html").getElementById("asked");
    settleFindings();
    const added = [...fresh.children];
    field("asked").append(...added);
    return added[0];
  };

  const tellWaiting = (signedOut) => weightQueue.tell(url, field("waiting"), signedOut);

  const flush = async () => {
    if (sending) return;
    sending = true;
    let signedOut = false;
    for (const item of weightQueue.waiting(url)) {
      const { state, html } = await weightQueue.send(item, token());
      if (state === "stored") {
        pause_ms = 2000;
        settleFindings();
        say(replace(html, PARTS).getElementById("said").textContent, true);
        sound();
      } else if (state === "asked") {
        const asked = showAsked(html);
        say("", false);
        if (!asked.querySelector("form") && !field("typed").value) {
          field("typed").value = item.typed;
          choose(item.slug);
        }
        asked.scrollIntoView({ block: "nearest" });
        (asked.querySelector("button") || field("typed")).focus();
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

  const queue = (values) => {
    weightQueue.add({ url, ...values });
    tellWaiting(false);
    flush();
  };

  document.addEventListener("submit", async (event) => {
    const sent = event.target;
    const value = (name) => sent.elements[name].value;
    if (sent === form) {
      event.preventDefault();
      const typed = field("typed").value.trim();
      if (!typed || !field("slug").value) { field("typed").focus(); return; }
      queue({ key: weightQueue.newKey(), slug: field("slug").value, typed, tare: field("tare").value.trim() });
      field("typed").value = "";
      field("typed").focus();
    } else if (sent.classList.contains("sure")) {
      event.preventDefault();
      queue({ key: value("key"), slug: value("slug"), typed: value("typed"), tare: value("tare"), sure: true });
      sent.closest(".asked").remove();
      field("typed").focus();
    } else if (sent.classList.contains("undo")) {
      event.preventDefault();
      const answer = await fetch(sent.action, { method: "POST", body: new URLSearchParams(new FormData(sent)),
        redirect: "manual", headers: { "X-Part": "1" } }).catch(() => null);
      if (!answer || answer.type === "opaqueredirect" || answer.status >= 500) { sent.submit(); return; }
      const html = await answer.text();
      if (answer.status === 400) showAsked(html);
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
    } else if (event.target.closest(".no")) {
      event.preventDefault();
      event.target.closest(".asked").remove();
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
    if (document.hidden || sending) return;
    const answer = await fetch(location.pathname, { headers: { "X-Part": "1" }, redirect: "manual" }).catch(() => null);
    if (answer && answer.ok && !sending) replace(await answer.text(), PARTS);
  }, 5000);

  addEventListener("online", flush);
  tellWaiting(false);
  flush();
})();
