// A server and a book for tests, both of few lines, that keep to the law: the
// server numbers what it takes, gives it once, and can lose its answers; the
// book knows who a key belongs to and no more.
import type { Book } from "../src/book";
import { p256, publicPart, sha256, sign, thumbprint, toBase64url } from "../src/jws";
import { NoAnswer, type Server } from "../src/server";
import type { AskName, Asks, Kid, PublicJwk, PullAnswer, PushAnswer } from "../src/wire";

const utf8 = new TextEncoder();

export interface Signer {
  kid: Kid;
  jwk: PublicJwk;
  key: CryptoKey;
}

export async function signer(): Promise<Signer> {
  const pair = await crypto.subtle.generateKey(p256, true, ["sign", "verify"]);
  const jwk = publicPart(await crypto.subtle.exportKey("jwk", pair.publicKey));
  return { kid: await thumbprint(jwk), jwk, key: pair.privateKey };
}

export async function entryBy(who: Signer, number: number, about = "card:c1", body: object = {}) {
  const kind = "key" in body ? "key" : "note";
  const part = (value: object) => toBase64url(utf8.encode(JSON.stringify(value)));
  const input = `${part({ alg: "ES256", kid: who.kid, typ: "trammel-entry" })}.${part({ kind, about, number, body })}`;
  const jws = await sign(who.key, input);
  return { jws, hash: await sha256(utf8.encode(input)), kid: who.kid, number, about };
}

export class FakeServer {
  log: string[] = [];
  epoch = "e1";
  loseReplies = 0;
  silent = false;
  stuck = false;
  refuse: (jws: string) => string | null = () => null;
  pushes = 0;

  private async hashOf(jws: string): Promise<string> {
    return sha256(utf8.encode(jws.slice(0, jws.lastIndexOf("."))));
  }

  async push(entries: string[]): Promise<PushAnswer> {
    if (this.silent) throw new NoAnswer("silent");
    this.pushes += 1;
    const answers: PushAnswer["answers"] = [];
    for (const jws of entries) {
      const hash = await this.hashOf(jws);
      const message = this.refuse(jws);
      if (message) {
        answers.push({ hash, answer: "refused", code: "bad", message, position: null });
        continue;
      }
      const here = this.log.indexOf(jws);
      if (here < 0) this.log.push(jws);
      const position = here < 0 ? this.log.length : here + 1;
      answers.push({ hash, answer: here < 0 ? "appended" : "here", code: null, message: null, position });
    }
    if (this.loseReplies > 0) {
      this.loseReplies -= 1;
      throw new NoAnswer("the reply was lost");
    }
    return { epoch: this.epoch, answers };
  }

  async pull(after: number): Promise<PullAnswer> {
    if (this.silent) throw new NoAnswer("silent");
    if (this.stuck) return { epoch: this.epoch, entries: [], last: after, more: true };
    const some = this.log.slice(after, after + 2).map((jws, at) => ({ position: after + at + 1, jws }));
    const last = after + some.length;
    return { epoch: this.epoch, entries: some, last, more: last < this.log.length };
  }

  async procedures() {
    return [];
  }

  as(): Server {
    return this as unknown as Server;
  }
}

export class FakeBook {
  register = new Map<Kid, PublicJwk>();
  taken: string[] = [];

  async ask<N extends AskName>(name: N, args: Asks[N]["ask"]): Promise<unknown> {
    if (name === "key_of") {
      return { jwk: this.register.get((args as Asks["key_of"]["ask"]).kid) ?? null, person: null };
    }
    if (name === "take") {
      const { entries } = args as Asks["take"]["ask"];
      for (const jws of entries) {
        this.taken.push(jws);
        const { kind, body } = JSON.parse(
          atob((jws.split(".")[1] ?? "").replace(/-/g, "+").replace(/_/g, "/")),
        );
        if (kind === "key") this.register.set(await thumbprint(body.key), body.key);
      }
      return { taken: entries.length, refused: [] };
    }
    throw new Error(`The test's book answers no ${name}.`);
  }

  async refresh(): Promise<void> {}

  as(): Book {
    return this as unknown as Book;
  }
}
