"use strict";
/* Weights that are not known to be in the records yet. They are kept in the browser's own store, so that a page
   loaded anew, an empty battery or lost wireless loses none; each has a key, so that one sent twice is kept once. */
const weightQueue = (() => {
  const PLACE = "weights-to-send";
  const read = () => {
    try { return JSON.parse(localStorage.getItem(PLACE) || "[]"); } catch (damaged) { return []; }
  };
  const write = (items) => localStorage.setItem(PLACE, JSON.stringify(items));

  const newKey = () => {
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
  };

  const add = (item) => write([...read().filter((one) => one.key !== item.key), item]);
  const drop = (key) => write(read().filter((one) => one.key !== key));
  const waiting = (url) => read().filter((one) => one.url === url);
  const elsewhere = (url) => read().filter((one) => one.url !== url);

  /* "stored", "asked" (the shop doubts it or cannot store it: the answer says why), "signed-out" or "later". */
  const send = async (item, token) => {
    const body = new URLSearchParams({ slug: item.slug, typed: item.typed, tare: item.tare, key: item.key });
    if (item.sure) body.set("sure", "1");
    let answer;
    try {
      answer = await fetch(item.url, {
        method: "POST", body, redirect: "manual", headers: { "X-Part": "1", "X-CSRFToken": token },
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
      drop(item.key);
      return { state: "asked", html };
    }
    return { state: answer.type === "opaqueredirect" || answer.status === 403 ? "signed-out" : "later" };
  };

  /* How many weights of this page wait to be sent, and on which other pages some do too. */
  const tell = (url, place, signedOut) => {
    const count = waiting(url).length;
    const others = elsewhere(url);
    place.hidden = count + others.length === 0;
    const words = count === 1 ? place.dataset.one : place.dataset.many;
    place.replaceChildren(count ? `${count} ${words}. ` : "", signedOut ? place.dataset.signedOut : "");
    for (const page of new Set(others.map((one) => one.url.replace(/weigh\/$/, "")))) {
      const link = document.createElement("a");
      link.href = page;
      link.textContent = ` → ${others.filter((one) => one.url.startsWith(page)).length} ${place.dataset.many}`;
      place.append(link);
    }
  };

  return { add, newKey, send, tell, waiting };
})();
