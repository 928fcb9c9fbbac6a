// The list is written in at build time: each file's path and digest.
declare const __HELD__: [path: string, digest: string][];
declare const __VERSION__: string;

export const held = __HELD__;
export const cacheName = `trammel-${__VERSION__}`;

async function digestOf(bytes: ArrayBuffer): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return btoa(String.fromCharCode(...digest))
    .replaceAll("+", "-")
    .replaceAll("/", "_")
    .slice(0, 16);
}

// Fills this version's cache. What an older version already holds under the
// same digest is copied, not fetched again: a small change costs little on a
// bad network.
export async function fill(): Promise<void> {
  const mine = await caches.open(cacheName);
  const older = (await caches.keys()).filter((name) => name.startsWith("trammel-") && name !== cacheName);
  await Promise.all(
    held.map(async ([path, digest]) => {
      for (const name of older) {
        const found = await (await caches.open(name)).match(path);
        if (found?.headers.get("x-digest") === digest) {
          await mine.put(path, found);
          return;
        }
      }
      const fresh = await fetch(path, { cache: "no-cache" });
      if (!fresh.ok) throw new Error(`${path} answered ${fresh.status}`);
      const bytes = await fresh.arrayBuffer();
      // A server that was changed under our feet would give us half of each.
      if ((await digestOf(bytes)) !== digest)
        throw new Error(`${path} is not the file this version was built with`);
      const headers = new Headers(fresh.headers);
      headers.set("x-digest", digest);
      headers.delete("content-encoding");
      headers.delete("content-length");
      await mine.put(path, new Response(bytes, { status: 200, headers }));
    }),
  );
}

export async function dropOlder(): Promise<void> {
  const names = await caches.keys();
  await Promise.all(
    names
      .filter((name) => name.startsWith("trammel-") && name !== cacheName)
      .map((name) => caches.delete(name)),
  );
}
