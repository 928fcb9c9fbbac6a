// What the keys of the number pad do to the text being typed. Only text: what
// the text means is for the workings to say.
export type PadKey =
  | { digit: string }
  | { over: number }
  | { unit: string }
  | "point"
  | "and"
  | "sign"
  | "rub";

export const denominators = [2, 4, 8, 16, 32, 64];

const lastToken = (text: string) => text.slice(text.lastIndexOf(" ") + 1);
const isWhole = (token: string) => /^[-+]?\d+$/.test(token);
const isFraction = (token: string) => /^[-+]?\d+\/\d+$/.test(token);

export function press(text: string, key: PadKey): string {
  const token = lastToken(text);
  const head = text.slice(0, text.length - token.length);
  if (typeof key === "object") {
    if ("digit" in key) return isFraction(token) ? text : text + key.digit;
    if ("over" in key) {
      // The last number becomes the numerator; a second press mends the first.
      if (isFraction(token)) return `${head}${token.slice(0, token.indexOf("/"))}/${key.over}`;
      return isWhole(token) ? `${text}/${key.over}` : text;
    }
    return withFeet(text, key.unit);
  }
  switch (key) {
    case "point":
      return token.includes(".") || isFraction(token) ? text : `${text}.`;
    case "and":
      return isWhole(token) ? `${text} ` : text;
    case "sign":
      return /^[-+]/.test(text) ? text.slice(1) : `-${text}`;
    case "rub":
      if (isFraction(token)) return text.slice(0, text.lastIndexOf("/"));
      if (text.endsWith(" ft ")) return text.slice(0, -4);
      return text.slice(0, -1);
  }
}

// Feet stand inside a number ("5 ft 6 1/2 in"); every other unit stands
// beside it, on the screen.
function withFeet(text: string, unit: string): string {
  const number = text.trim();
  if (unit !== "ft" || number.includes("ft") || !isWhole(number)) return text;
  return `${number} ft `;
}

// Feet and then inches: a bare number behind the feet is inches, as the unit
// key that stands pressed says.
export function whole(text: string): string {
  const trimmed = text.trim();
  return /ft\s+[\d./ ]+$/.test(trimmed) ? `${trimmed} in` : trimmed;
}
