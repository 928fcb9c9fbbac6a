// What the screens last showed, so that a cold start shows it at once, while
// the interpreter still wakes. It is only looked at until the book is open,
// decides nothing, and is forgotten with the build that drew it.
import type { AskName } from "./wire";

const kinds: AskName[] = ["list", "card", "step", "hold", "people"];
const store = "views";

export class LastViews {
  private readonly last = new Map<AskName, { asked: string; answer: unknown }>();
  private writing: ReturnType<typeof setTimeout> | undefined;

  constructor(private readonly build: string) {
    try {
      const kept = JSON.parse(localStorage.getItem(store) ?? "null");
      if (kept?.build === build) for (const [kind, view] of kept.views) this.last.set(kind, view);
    } catch {
      // Nothing to show at once, then.
    }
    // Whoever turns the page off at once is still shown the same when it comes back.
    addEventListener("pagehide", () => this.writing !== undefined && this.write());
  }

  get(asked: string): unknown {
    for (const view of this.last.values()) if (view.asked === asked) return view.answer;
    return null;
  }

  put(kind: AskName, asked: string, answer: unknown): void {
    if (!kinds.includes(kind)) return;
    this.last.set(kind, { asked, answer });
    clearTimeout(this.writing);
    this.writing = setTimeout(() => this.write(), 300);
  }

  private write(): void {
    clearTimeout(this.writing);
    this.writing = undefined;
    try {
      localStorage.setItem(store, JSON.stringify({ build: this.build, views: [...this.last] }));
    } catch {
      // No room: the next start is a little slower.
    }
  }
}
