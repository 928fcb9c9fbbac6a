// Python without its comments, docstrings, blank lines and wide indents, for
// the phone: the statements stay as they are. A docstring becomes 0, so that a
// body that was nothing else is still a body.

const opening = /^[rbfu]{0,2}("""|'''|"|')/i;
const brackets = { "(": 1, "[": 1, "{": 1, ")": -1, "]": -1, "}": -1 };

function endOfString(text, from, quote) {
  let at = from;
  while (at < text.length) {
    if (text[at] === "\\") at += 2;
    else if (text.startsWith(quote, at)) return at + quote.length;
    else at += 1;
  }
  throw new Error("A string in the Python text has no end.");
}

export function trim(text) {
  let out = "";
  let depth = 0;
  let at = 0;
  // Only blanks since the line began, outside of brackets: a statement starts here.
  let fresh = true;
  while (at < text.length) {
    const letter = text[at];
    const before = at === 0 ? "" : text[at - 1];
    const string = /[A-Za-z0-9_]/.test(before) ? null : opening.exec(text.slice(at, at + 5));
    if (string) {
      const end = endOfString(text, at + string[0].length, string[1]);
      const alone =
        fresh && depth === 0 && string[1].length === 3 && /^[ \t]*(\n|$)/.test(text.slice(end, end + 200));
      const said = text.slice(at, end);
      // Such a text would lose its blank lines below.
      if (!alone && said.includes("\n"))
        throw new Error(`A text over several lines is not a docstring: ${said}`);
      out += alone ? "0" : said;
      fresh = false;
      at = end;
    } else if (letter === "#") {
      while (at < text.length && text[at] !== "\n") at += 1;
      out = out.replace(/[ \t]+$/, "");
    } else if (letter === "\n") {
      const indent = /^[ ]*/.exec(text.slice(at + 1))[0].length;
      // Inside brackets an indent says nothing; elsewhere one blank a level says as much as four.
      out = `${out.replace(/[ \t]+$/, "")}\n${depth > 0 ? "" : " ".repeat(indent / 4)}`;
      fresh = true;
      at += 1 + indent;
    } else {
      if (letter !== " " && letter !== "\t") fresh = false;
      depth += brackets[letter] ?? 0;
      out += letter;
      at += 1;
    }
  }
  return out
    .split("\n")
    .filter((line) => line.trim() !== "")
    .join("\n")
    .concat("\n");
}
