// Without a network the pages of the block and the grinder that were seen before are shown as they were last seen, so
// that weights are typed and kept on the tablet; any other page is answered by one that says so. Whoever signs out
// takes the kept pages along.
{% load static %}"use strict";
const FRAME = "frame-2", SEEN = "seen-2", PAGE = "{% url 'offline' %}", STYLE = "{% static 'base/base.css' %}";
const SCRIPT = "{% static 'base/base.js' %}";
const WORK = /^\/(block|grind)\/(\d+\/)?$/, STATIC = "{% static '' %}", SIGN_OUT = "{% url 'sign_out' %}", MOST = 24;

self.addEventListener("install", (event) => {
  self.skipWaiting();
  event.waitUntil(caches.open(FRAME).then((cache) => cache.addAll([PAGE, STYLE, SCRIPT])));
});
self.addEventListener("activate", (event) => {
  const old = caches.keys().then((names) => Promise.all(
    names.filter((name) => ![FRAME, SEEN].includes(name)).map((name) => caches.delete(name))));
  event.waitUntil(Promise.all([old, self.clients.claim()]));
});

const keep = async (name, request, answer) => {
  if (!answer.ok || answer.type !== "basic" || answer.redirected) return;
  const cache = await caches.open(name);
  await cache.put(request, answer);
  const kept = await cache.keys();
  if (name === SEEN) await Promise.all(kept.slice(0, Math.max(0, kept.length - MOST)).map((one) => cache.delete(one)));
};

/* A proxy that answers while the shop itself does not (it is being started, say) is no better than no network. */
const asked = async (request) => {
  const answer = await fetch(request);
  if ([502, 503].includes(answer.status)) throw new Error("the shop does not answer");
  return answer;
};

/* The network first; what it gives is kept for when it is gone. */
const fresh = async (event, name, address, otherwise) => {
  try {
    const answer = await asked(event.request);
    event.waitUntil(keep(name, address, answer.clone()));
    return answer;
  } catch (gone) {
    const cache = await caches.open(name);
    return (await cache.match(address)) || (otherwise ? caches.match(otherwise) : Response.error());
  }
};

self.addEventListener("fetch", (event) => {
  const { request } = event, url = new URL(request.url);
  if (url.origin !== self.location.origin) return;
  if (request.method === "POST" && url.pathname === SIGN_OUT) event.waitUntil(caches.delete(SEEN));
  if (request.method !== "GET") return;
  if (url.pathname.startsWith(STATIC)) event.respondWith(fresh(event, FRAME, url.pathname));
  else if (request.mode !== "navigate") return;
  else if (WORK.test(url.pathname)) event.respondWith(fresh(event, SEEN, url.pathname, PAGE));
  else event.respondWith(asked(request).catch(() => caches.match(PAGE)));
});
