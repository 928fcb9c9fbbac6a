// The page's side of the worker that holds the book. One question at a time
// goes over, first come, first served; a question that is no longer wanted
// can be dropped while it still waits.
import type { AskError, AskName, Asks } from "../wire";

export class Refused extends Error {
  constructor(readonly detail: AskError) {
    super(detail.message);
  }
}

export interface Bridge {
  ask<N extends AskName>(name: N, args: Asks[N]["ask"], signal?: AbortSignal): Promise<Asks[N]["ok"]>;
}

interface Waiting {
  text: string;
  signal: AbortSignal | undefined;
  resolve: (answer: unknown) => void;
  reject: (problem: unknown) => void;
}

export interface Port {
  postMessage(message: { id: number; text: string }): void;
  onmessage: ((message: { data: { id: number; text?: string; failed?: string } }) => void) | null;
  onerror: ((event: { message?: string }) => void) | null;
}

export function bridgeTo(port: Port): Bridge {
  const queue: Waiting[] = [];
  let current: Waiting | null = null;
  let id = 0;

  function next() {
    if (current) return;
    let waiting = queue.shift();
    while (waiting?.signal?.aborted) {
      waiting.reject(waiting.signal.reason);
      waiting = queue.shift();
    }
    if (!waiting) return;
    current = waiting;
    id += 1;
    port.postMessage({ id, text: waiting.text });
  }

  port.onmessage = ({ data }) => {
    if (!current || data.id !== id) return;
    const asked = current;
    current = null;
    if (data.failed !== undefined) {
      asked.reject(new Error(data.failed));
    } else {
      const answer = JSON.parse(data.text ?? "null") as { ok?: unknown; error?: AskError };
      if (answer.error) asked.reject(new Refused(answer.error));
      else asked.resolve(answer.ok);
    }
    next();
  };
  port.onerror = (event) => {
    const problem = new Error(event.message || "The calculation worker stopped.");
    current?.reject(problem);
    current = null;
    for (const waiting of queue.splice(0)) waiting.reject(problem);
  };

  return {
    ask(name, args, signal) {
      return new Promise((resolve, reject) => {
        queue.push({
          text: JSON.stringify({ ask: name, ...args }),
          signal,
          resolve: resolve as (answer: unknown) => void,
          reject,
        });
        next();
      });
    },
  };
}
