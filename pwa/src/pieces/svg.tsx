// Drawings and formulas arrive as SVG text made by the workings. Only what a
// drawing needs is let through: no script, no links, no foreign matter.
import type { JSX } from "preact";
import { useEffect, useRef } from "preact/hooks";

const elements = new Set(
  "svg g path line polyline polygon rect circle ellipse text tspan title desc defs marker clipPath pattern use".split(
    " ",
  ),
);
const svgSpace = "http://www.w3.org/2000/svg";

export function allowed(name: string, value: string): boolean {
  if (/^on/i.test(name) || name === "style") return false;
  if (name === "href" || name === "xlink:href") return value.startsWith("#");
  return !/url\((?!\s*#)/i.test(value);
}

function clean(found: Element): SVGElement | null {
  if (!elements.has(found.localName)) return null;
  const made = document.createElementNS(svgSpace, found.localName);
  for (const { name, value } of Array.from(found.attributes)) {
    if (name.startsWith("xmlns")) continue;
    if (allowed(name, value)) made.setAttribute(name, value);
  }
  for (const child of Array.from(found.childNodes)) {
    if (child.nodeType === 3) made.append(child.textContent ?? "");
    else if (child.nodeType === 1) {
      const cleaned = clean(child as Element);
      if (cleaned) made.append(cleaned);
    }
  }
  return made;
}

export function SafeSvg({
  svg,
  label,
  class: name = "",
}: {
  svg: string;
  label: string;
  class?: string;
}): JSX.Element {
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const parsed = new DOMParser().parseFromString(svg, "image/svg+xml").documentElement;
    const made = clean(parsed);
    box.current?.replaceChildren(...(made ? [made] : []));
    // What is wider than the screen scrolls, also with the keyboard.
    if (box.current) box.current.tabIndex = box.current.scrollWidth > box.current.clientWidth + 1 ? 0 : -1;
  }, [svg]);
  if (!label) return <div class={`svg ${name}`} aria-hidden="true" ref={box} />;
  return <div class={`svg ${name}`} role="img" aria-label={label} ref={box} />;
}
