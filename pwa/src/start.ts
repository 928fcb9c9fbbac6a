// What a running app needs beside its screens: touches keep the key open, and
// the server is asked whenever it may have come back.
import type { Shop } from "./shop";

export function keepAwake(shop: Shop): void {
  const touch = () => shop.hand.touch();
  for (const kind of ["pointerdown", "keydown"]) addEventListener(kind, touch, { passive: true });
  // The clock decides; this only makes the screen say so in time.
  setInterval(() => shop.hand.key(), 15_000);
  document.addEventListener("visibilitychange", () => {
    shop.hand.key();
    if (document.visibilityState === "visible") void shop.sync.run();
    else void shop.book.layBy();
  });
  addEventListener("online", () => void shop.sync.run());
}
