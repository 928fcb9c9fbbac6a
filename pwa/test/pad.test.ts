import { describe, expect, it } from "vitest";
import { type PadKey, press, whole } from "../src/pad";

function typed(...keys: (string | PadKey)[]): string {
  let text = "";
  for (const key of keys) {
    if (typeof key !== "string") text = press(text, key);
    else if (/^\d$/.test(key)) text = press(text, { digit: key });
    else if (key.startsWith("/")) text = press(text, { over: Number(key.slice(1)) });
    else if (key === ".") text = press(text, "point");
    else if (key === "ft" || key === "in") text = press(text, { unit: key });
    else text = press(text, key as PadKey);
  }
  return text;
}

describe("the number pad", () => {
  it("makes the last number a numerator and keeps the whole number before it", () => {
    expect(typed("3", "and", "5", "/16")).toBe("3 5/16");
    expect(typed("1", "2", "and", "1", "1", "/32")).toBe("12 11/32");
  });

  it("makes an improper fraction of a number that nothing stands before", () => {
    expect(typed("3", "5", "/16")).toBe("35/16");
  });

  it("changes the denominator on a second press, and takes no digit behind it", () => {
    expect(typed("5", "/16", "/32")).toBe("5/32");
    expect(typed("5", "/16", "3")).toBe("5/16");
  });

  it("rubs out a denominator at once, then digit by digit", () => {
    expect(typed("3", "and", "5", "/16", "rub")).toBe("3 5");
    expect(typed("3", "and", "5", "/16", "rub", "rub")).toBe("3 ");
    expect(typed("3", "and", "5", "/16", "rub", "rub", "rub")).toBe("3");
    expect(typed("rub")).toBe("");
  });

  it("has one point in a number, and none in a fraction", () => {
    expect(typed(".", "0", "0", "4", ".")).toBe(".004");
    expect(typed("5", "/16", ".")).toBe("5/16");
  });

  it("turns the sign and turns it back", () => {
    expect(typed("4", "sign")).toBe("-4");
    expect(typed("4", "sign", "sign")).toBe("4");
    expect(typed("sign", "5", "/64")).toBe("-5/64");
  });

  it("makes no fraction of a decimal and no whole number of a fraction", () => {
    expect(typed("1", ".", "5", "/16")).toBe("1.5");
    expect(typed("5", "/16", "and")).toBe("5/16");
    expect(typed("and")).toBe("");
    expect(typed("/16")).toBe("");
  });

  it("puts feet inside the number, once", () => {
    expect(typed("5", "ft", "6", "and", "1", "/2")).toBe("5 ft 6 1/2");
    expect(typed("5", "ft", "ft")).toBe("5 ft ");
    expect(typed("5", "ft", "rub")).toBe("5");
    expect(typed("5", "in")).toBe("5");
  });

  it("says what the inches behind the feet are", () => {
    expect(whole("5 ft 6 1/2")).toBe("5 ft 6 1/2 in");
    expect(whole("5 ft ")).toBe("5 ft");
    expect(whole("5 ft 6 in")).toBe("5 ft 6 in");
    expect(whole(" 3 5/16 ")).toBe("3 5/16");
  });
});
