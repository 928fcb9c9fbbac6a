import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";

const css = readFileSync(new URL("../src/styles/tokens.css", import.meta.url), "utf-8");

function tokens(selector: string): Record<string, string> {
  const start = css.indexOf(`${selector} {`);
  const block = css.slice(start, css.indexOf("}", start));
  return Object.fromEntries([...block.matchAll(/--([a-z-]+):\s*(#[0-9a-f]{6})/g)].map((m) => [m[1], m[2]]));
}

function luminance(colour: string): number {
  const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
    const part = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
    return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

// WCAG 2.2, success criterion 1.4.6.
function contrast(one: string, other: string): number {
  const [low = 0, high = 0] = [luminance(one), luminance(other)].sort((a, b) => a - b);
  return (high + 0.05) / (low + 0.05);
}

const light = tokens(":root");
const themes = { light, dark: { ...light, ...tokens(':root[data-theme="dark"]') } };

const texts: [string, string][] = [
  ["ink", "ground"],
  ["quiet", "ground"],
  ["press", "ground"],
  ["stop", "ground"],
  ["clear", "ground"],
  ["ink", "field"],
  ["quiet", "field"],
  ["on-press", "press"],
  ["on-danger", "danger"],
  ["on-warning", "warning"],
  ["on-caution", "caution"],
  ["on-notice", "notice"],
  ["on-sign", "sign"],
];

describe.each(Object.entries(themes))("the %s theme", (_name, theme) => {
  it.each(texts)("sets %s on %s at 7:1 or better", (text, ground) => {
    expect(contrast(theme[text] ?? "", theme[ground] ?? "")).toBeGreaterThanOrEqual(7);
  });

  it("never uses the caution yellow as text", () => {
    for (const file of ["base", "book", "frame", "hold", "pad", "signs", "step"]) {
      const sheet = readFileSync(new URL(`../src/styles/${file}.css`, import.meta.url), "utf-8");
      expect(sheet).not.toMatch(/[\s;{]color:\s*var\(--(caution|sign|warning)\)/);
    }
  });
});
