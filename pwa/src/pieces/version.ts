// A new version of the app waits in the wings until somebody says "use it",
// and that is offered only while nothing is half typed.
import { useCallback } from "preact/hooks";
import { type Shop, useShop } from "../shop";

let waiting: ServiceWorker | null = null;
let asked = false;

export async function watchVersions(shop: Shop): Promise<void> {
  if (!("serviceWorker" in navigator)) return;
  let found: ServiceWorkerRegistration;
  try {
    found = await navigator.serviceWorker.register("/sw.js", { updateViaCache: "none" });
    if (!found) return;
  } catch {
    // Without HTTPS there is no service worker: the app works, but starts only
    // with a network. deploy/ tells how phones come to trust the shop.
    return;
  }
  const offer = (worker: ServiceWorker | null) => {
    if (!worker || !navigator.serviceWorker.controller) return;
    waiting = worker;
    shop.store.set({ freshVersion: true });
  };
  offer(found.waiting);
  found.addEventListener("updatefound", () => {
    const installing = found.installing;
    installing?.addEventListener("statechange", () => {
      if (installing.state === "installed") offer(installing);
    });
  });
  // Only the page where it was asked for loads anew: another tab may hold a
  // half-typed reading.
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (asked) location.reload();
  });
  addEventListener("online", () => void found.update().catch(() => {}));
}

export function useVersion(): () => void {
  const shop = useShop();
  return useCallback(() => {
    if (!waiting || shop.halfTyped.of(shop.me()).length > 0) return;
    asked = true;
    waiting.postMessage("use it");
  }, [shop]);
}
