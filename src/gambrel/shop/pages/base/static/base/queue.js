"use strict";
/* Weights that are not known to be in the records yet. They are kept in the browser's own store, so that a page
   loaded anew, an empty battery or lost wireless loses none; each has a key, so that one sent twice is kept once. */
const weightQueue = (() => {
  const PLACE = "weight-to-send:";
  const AGAIN_MS = 15000;
  /* Each stands in a place of its own, so that two pages of one tablet write over nothing of each other. */
  const at = (place) => {
    try { return JSON.parse(localStorage.getItem(place)); } catch (damaged) { return null; }
  };
  const read = () => Object.keys(localStorage).filter((place) => place.startsWith(PLACE)).map(at).filter(Boolean)
    .sort((one, other) => one.order - other.order);
  const put = (item) => localStorage.setItem(PLACE + item.key, JSON.stringify(item));
  const field = (id) => document.getElementById(id);

  const newKey = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
  };

  const add = (item) => put({ order: 1 + Math.max(0, ...read().map((one) => one.order)), ...item });
  const drop = (key) => localStorage.removeItem(PLACE + key);
  const find = (key) => at(PLACE + key);
  const said = (item) => [item.name, item.typed].filter(Boolean).join(": ");
  /* What the shop has doubted or refused stays kept, and is not sent again, until a person has answered. */
  const judged = (key) => { const item = find(key); if (item) put({ ...item, judged: true }); };
  const askAnew = (url) => read().filter((one) => one.url === url).forEach((one) => put({ ...one, judged: false }));
  const waiting = (url) => read().filter((one) => one.url === url && !one.judged);

  /* "stored", "judged" (the shop doubts it or cannot store it: the answer says why), "signed-out" or "later". */
  const send = async (item, token) => {
    const body = new URLSearchParams({ slug: item.slug, typed: item.typed, tare: item.tare, key: item.key });
    if (item.sure) body.set("sure", "1");
    let answer;
    try {
      // Whoever leaves the page before the answer is there has sent it all the same.
      answer = await fetch(item.url, {
        method: "POST", body, redirect: "manual", keepalive: true, headers: { "X-Part": "1", "X-CSRFToken": token },
      });
    } catch (noWireless) { return { state: "later" }; }
    if (answer.headers.get("X-Stored") === item.key) {
      drop(item.key);
      return { state: "stored", html: await answer.text() };
    }
    if (answer.status === 409 || answer.status === 400) {
      const html = await answer.text();
      // A proxy, or a server that knows its name no more, says 400 too: then nobody has judged the weight yet.
      if (!html.includes('id="asked"')) return { state: "later" };
      judged(item.key);
      return { state: "judged", html };
    }
    return { state: answer.type === "opaqueredirect" || answer.status === 403 ? "signed-out" : "later" };
  };

  /* What the shop answered to one weight stands on the page until it is settled: a second does not push it out. */
  const settle = () => {
    for (const one of field("asked").querySelectorAll(".asked")) if (!one.dataset.key) one.remove();
  };
  const show = (html, item, canTakeBack) => {
    const card = new DOMParser().parseFromString(html, "text/html").querySelector("#asked .asked");
    settle();
    if (item) {
      card.dataset.key = item.key;
      const which = document.createElement("p");
      which.textContent = said(item);
      card.querySelector("h2").after(which);
      if (!canTakeBack) for (const button of card.querySelectorAll(".again")) button.remove();
      for (const answers of card.querySelectorAll(".answers")) answers.hidden = false;
    }
    field("asked").append(card);
    card.scrollIntoView({ block: "nearest" });
    const button = card.querySelector("button");
    if (button) button.focus();
  };

  /* Sends what waits for this page until the shop has it or has judged it. `page` has what is its own: `stored(html)`,
     and where weights are typed `takeBack(item)`: the item into the form, to be typed anew; without one, the focus. */
  const sender = (page) => {
    const place = field("waiting");
    const { url, token } = place.dataset;
    const takeBack = page.takeBack || (() => {});
    let busy = false;
    let pause_ms = 2000;

    const tell = (signedOut) => {
      const count = waiting(url).length;
      place.hidden = count === 0;
      place.textContent = `${count} ${count === 1 ? place.dataset.one : place.dataset.many}. `
        + (signedOut ? place.dataset.signedOut : "");
    };
    const flush = async () => {
      if (busy) return;
      busy = true;
      let signedOut = false;
      for (const item of waiting(url)) {
        const { state, html } = await send(item, token);
        if (state === "stored") {
          pause_ms = 2000;
          settle();
          page.stored(html);
        } else if (state === "judged") {
          show(html, item, Boolean(page.takeBack));
        } else {
          signedOut = state === "signed-out";
          pause_ms = Math.min(AGAIN_MS, pause_ms * 1.5);
          break;
        }
      }
      busy = false;
      tell(signedOut);
      if (waiting(url).length) setTimeout(flush, pause_ms);
    };
    const weigh = (values) => {
      add({ ...values, url });
      tell(false);
      flush();
    };

    document.addEventListener("click", (event) => {
      const answer = event.target.closest(".asked .no, .asked .again");
      if (!answer) return;
      event.preventDefault();
      const card = answer.closest(".asked");
      const item = find(card.dataset.key);
      card.remove();
      if (item) drop(item.key);
      takeBack(item && answer.matches(".again") ? item : null);
    });
    document.addEventListener("submit", (event) => {
      const form = event.target;
      if (!form.matches(".asked .sure")) return;
      event.preventDefault();
      const { key, slug, typed, tare } = Object.fromEntries(new FormData(form));
      form.closest(".asked").remove();
      weigh({ ...find(key), key, slug, typed, tare, sure: true, judged: false });
      takeBack(null);
    });
    addEventListener("online", flush);
    askAnew(url);
    tell(false);
    flush();
    return { weigh, isBusy: () => busy, waits: () => waiting(url).length > 0,
      isOpen: () => read().some((one) => one.url === url) };
  };

  /* What was weighed on another page is sent from this one; what stays is told, with a way to where it is answered. */
  const elsewhere = async () => {
    const place = field("not-stored");
    const own = field("waiting");
    const others = () => read().filter((one) => !own || one.url !== own.dataset.url);
    const tell = () => {
      place.hidden = others().length === 0;
      place.replaceChildren(place.dataset.words);
      for (const url of new Set(others().map((one) => one.url))) {
        const link = document.createElement("a");
        link.href = url.replace(/weigh\/$/, "");
        link.textContent = others().filter((one) => one.url === url).map(said).join(", ");
        place.append(" ", link);
      }
    };
    tell();
    for (const item of others().filter((one) => !one.judged)) {
      const { state } = await send(item, place.dataset.token);
      if (state !== "stored" && state !== "judged") break;
    }
    tell();
    if (others().some((one) => !one.judged)) setTimeout(elsewhere, AGAIN_MS);
  };
  elsewhere();

  return { newKey, sender, show };
})();
