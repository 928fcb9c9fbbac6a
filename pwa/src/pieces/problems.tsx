// What on this card needs somebody, by name: gaps, doubts, readings side by
// side. One line until it is asked for.
import type { JSX } from "preact";
import { words } from "../words";

export function Problems({ problems }: { problems: string[] }): JSX.Element | null {
  if (problems.length === 0) return null;
  return (
    <details class="problems">
      <summary>{words.problems(problems.length)}</summary>
      <ul>
        {problems.map((problem) => (
          <li class="sentence" key={problem}>
            {problem}
          </li>
        ))}
      </ul>
    </details>
  );
}
