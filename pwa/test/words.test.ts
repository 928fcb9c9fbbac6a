import { describe, expect, it } from "vitest";
import { size, when, words } from "../src/words";

function texts(value: unknown, at: string): [string, string][] {
  if (typeof value === "string") return [[at, value]];
  if (typeof value === "object" && value !== null) {
    return Object.entries(value).flatMap(([key, inner]) => texts(inner, at ? `${at}.${key}` : key));
  }
  return [];
}

describe("the words", () => {
  it("are short, and never blame nobody", () => {
    for (const [at, text] of texts(words, "")) {
      expect(text, at).not.toMatch(/went wrong|oops|unknown error|please|successfully/i);
      expect(text.length, at).toBeLessThan(220);
    }
  });

  it("tell the time of today and the day of before", () => {
    const now = new Date(2026, 10, 25, 12, 0);
    expect(when(new Date(2026, 10, 25, 9, 42).toISOString(), now)).toBe("09:42");
    expect(when(new Date(2026, 10, 24, 16, 5).toISOString(), now)).toBe("24 Nov 16:05");
    expect(when(new Date(2025, 1, 3, 8, 0).toISOString(), now)).toBe("3 Feb 2025 08:00");
    expect(when(null, now)).toBe("");
  });

  it("count one as one", () => {
    expect(words.kept.entries(1)).toBe("1 entry");
    expect(words.kept.entries(3)).toBe("3 entries");
    expect(words.strip.onlyHere(0)).toBe("All sent");
    expect(words.strip.onlyHere(3)).toBe("3 only here");
    expect(words.pin.wait(300)).toContain("5 minutes");
  });

  it("say sizes in three figures or so", () => {
    expect(size(900)).toBe("1 kB");
    expect(size(2_340_000)).toBe("2.3 MB");
  });
});
