// Builds the page, then the service worker with the list of what the page
// needs, then a .br and a .gz beside each file: the server never compresses.
import { createHash } from "node:crypto";
import { readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import { join, relative } from "node:path";
import { fileURLToPath } from "node:url";
import { brotliCompressSync, constants, gzipSync } from "node:zlib";
import { build } from "vite";
import { trim } from "./trim-python.mjs";

const root = fileURLToPath(new URL("..", import.meta.url));
const dist = join(root, "dist");

function filesIn(folder) {
  return readdirSync(folder, { withFileTypes: true })
    .flatMap((found) => {
      const path = join(folder, found.name);
      return found.isDirectory() ? filesIn(path) : [path];
    })
    .sort();
}

// The workings go to the phone without their comments, which are a quarter of
// what would have to come over a weak link.
const trimmed = {
  name: "trimmed-workings",
  enforce: "pre",
  load(id) {
    const [path, query] = id.split("?");
    if (!path.endsWith(".py") || query !== "raw") return null;
    return `export default ${JSON.stringify(trim(readFileSync(path, "utf-8")))}`;
  },
};

await build({
  root,
  configFile: join(root, "vite.config.ts"),
  logLevel: "warn",
  plugins: [trimmed],
  worker: { plugins: () => [trimmed] },
});

// The licences of what is shipped inside, where anybody can read them.
const inside = [
  "preact",
  "idb",
  "@micropython/micropython-webassembly-pyscript",
  "@fontsource-variable/atkinson-hyperlegible-next",
];
const licences = inside.map((name) => {
  const folder = join(root, "node_modules", name);
  const about = JSON.parse(readFileSync(join(folder, "package.json"), "utf-8"));
  const file = readdirSync(folder).find((found) => /^licen[cs]e/i.test(found));
  const text = file ? readFileSync(join(folder, file), "utf-8") : `Licence: ${about.license ?? "MIT"}`;
  return `${name} ${about.version}\n\n${text.trim()}\n`;
});
writeFileSync(join(dist, "licences.txt"), licences.join("\n\n"));

// What a phone holds to start with no network: the digest of all of it names
// the version, so the same files always give the same service worker.
const held = filesIn(dist).filter((path) => !/\.(br|gz|map)$/.test(path) && !path.endsWith("sw.js"));
const list = held.map((path) => [
  `/${relative(dist, path).split("\\").join("/")}`,
  createHash("sha256").update(readFileSync(path)).digest("base64url").slice(0, 16),
]);
const version = createHash("sha256").update(JSON.stringify(list)).digest("base64url").slice(0, 16);

await build({
  root,
  configFile: false,
  publicDir: false,
  logLevel: "warn",
  define: { __HELD__: JSON.stringify(list), __VERSION__: JSON.stringify(version) },
  build: {
    outDir: dist,
    emptyOutDir: false,
    target: "es2022",
    rolldownOptions: {
      input: join(root, "src/sw/index.ts"),
      output: { format: "iife", entryFileNames: "sw.js" },
    },
  },
});

let total = 0;
for (const path of filesIn(dist)) {
  if (/\.(br|gz)$/.test(path)) {
    rmSync(path);
    continue;
  }
  const bytes = readFileSync(path);
  const br = brotliCompressSync(bytes, {
    params: {
      [constants.BROTLI_PARAM_QUALITY]: 11,
      [constants.BROTLI_PARAM_LGWIN]: 24,
      [constants.BROTLI_PARAM_SIZE_HINT]: bytes.length,
    },
  });
  writeFileSync(`${path}.br`, br);
  writeFileSync(`${path}.gz`, gzipSync(bytes, { level: 9 }));
  // Pictures for the home screen, licences and what comes after the work's own
  // screens are not needed to work a card.
  const counted =
    !/(\.png|licences\.txt|(office|boiler|cylinder|published|repeats|sleeves|springs|stay_map|stays)-[^/]*\.js)$/.test(
      path,
    );
  if (counted) total += br.length;
  const name = relative(dist, path).padEnd(52);
  console.log(`${name} ${String(statSync(path).size).padStart(8)} ${String(br.length).padStart(8)} br`);
}
console.log(`needed to work a card: ${(total / 1000).toFixed(1)} kB brotli`);
