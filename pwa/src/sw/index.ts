// Four short listeners. A new version waits until the page, which knows
// whether something is half typed, says "use it".
import { cacheName, dropOlder, fill } from "./to-cache";

declare const self: ServiceWorkerGlobalScope;

self.addEventListener("install", (event) => {
  event.waitUntil(fill());
});

self.addEventListener("activate", (event) => {
  event.waitUntil(dropOlder().then(() => self.clients.claim()));
});

self.addEventListener("message", (event) => {
  if (event.data === "use it") void self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith("/api/")) return;
  const path = event.request.mode === "navigate" ? "/index.html" : url.pathname;
  event.respondWith(
    caches
      .open(cacheName)
      .then((cache) => cache.match(path))
      .then((found) => found ?? fetch(event.request)),
  );
});
