import { fileURLToPath } from "node:url";
import preact from "@preact/preset-vite";
import { defineConfig } from "vite";

const root = fileURLToPath(new URL(".", import.meta.url));

export default defineConfig({
  root,
  base: "/",
  plugins: [preact({ devToolsEnabled: false, prefreshEnabled: false })],
  worker: { format: "es" },
  // The workings live beside this folder; one source for every rule.
  server: {
    fs: { allow: [root, fileURLToPath(new URL("../server/workings", import.meta.url))] },
    proxy: { "/api": "http://127.0.0.1:8000" },
  },
  build: {
    target: "es2022",
    outDir: "dist",
    emptyOutDir: true,
    modulePreload: { polyfill: false },
    // Nothing is inlined as a data: address, which the page's policy forbids.
    assetsInlineLimit: 0,
    chunkSizeWarningLimit: 600,
  },
});
