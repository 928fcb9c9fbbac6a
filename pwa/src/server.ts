// Speaks with the shop's server. A phone proves itself with its device key,
// without a PIN; the token that comes back lives in memory only.
import type { Db, KeptKey } from "./db";
import { signProof, thumbprint } from "./jws";
import type { OpenKey } from "./keys";
import type {
  EnrolAnswer,
  InvitationAnswer,
  Kid,
  ProcedureLine,
  PullAnswer,
  PushAnswer,
  ServerError,
  Session,
} from "./wire";

// The server answered, and said no.
export class ServerSaid extends Error {
  constructor(
    readonly status: number,
    readonly code: string,
    message: string,
  ) {
    super(message);
  }
}

// Nobody answered: no network, or no server.
export class NoAnswer extends Error {}

const patience = 20_000;
const worthPacking = 2_000;

export type Fetch = (input: string, init?: RequestInit) => Promise<Response>;

async function packed(text: string): Promise<Blob> {
  const stream = new Blob([text]).stream().pipeThrough(new CompressionStream("gzip"));
  return new Response(stream).blob();
}

export class Server {
  private readonly sessions = new Map<Kid, Session>();

  constructor(
    private readonly db: Db,
    private readonly fetch: Fetch = (input, init) => globalThis.fetch(input, init),
  ) {}

  async enrol(request: string): Promise<EnrolAnswer> {
    const headers = { "Content-Type": "application/json" };
    const answer = await this.once("/api/enrol", { method: "POST", body: request, headers });
    return (await (await this.good(answer)).json()) as EnrolAnswer;
  }

  async push(entries: string[]): Promise<PushAnswer> {
    const text = JSON.stringify({ entries });
    if (text.length < worthPacking || typeof CompressionStream === "undefined") {
      return this.json("/api/entries", { method: "POST", body: text });
    }
    const body = await packed(text);
    return this.json("/api/entries", { method: "POST", body, headers: { "Content-Encoding": "gzip" } });
  }

  pull(after: number, epoch: string | null): Promise<PullAnswer> {
    const asked = new URLSearchParams({ after: String(after), limit: "200" });
    if (epoch) asked.set("epoch", epoch);
    return this.json(`/api/entries?${asked}`);
  }

  procedures(): Promise<ProcedureLine[]> {
    return this.json("/api/procedures");
  }

  async procedure(digest: string): Promise<string> {
    return (await this.send(`/api/procedures/${digest}`)).text();
  }

  async putBlob(digest: string, bytes: Blob): Promise<void> {
    const headers = { "Content-Type": bytes.type || "application/octet-stream" };
    await this.send(`/api/blobs/${digest}`, { method: "PUT", body: bytes, headers });
  }

  async blob(digest: string): Promise<Blob> {
    return (await this.send(`/api/blobs/${digest}`)).blob();
  }

  // A session alone is not enough here: a found phone has one. The lead's own
  // key signs for the person who is let in.
  async invite(person: string, lead: OpenKey): Promise<InvitationAnswer> {
    const nonce = await this.challenge();
    const proof = await signProof(lead.key, lead.kid, "trammel-invite", { nonce, person });
    return this.json(
      "/api/invitations",
      { method: "POST", body: JSON.stringify({ person, proof }) },
      lead.kid,
    );
  }

  async packet(card: string, kind: "blank" | "filled", paper: "A4" | "Letter"): Promise<Blob> {
    const body = JSON.stringify({ card, kind, paper });
    return (await this.send("/api/packets", { method: "POST", body })).blob();
  }

  private async json<T>(path: string, init: RequestInit = {}, as?: Kid): Promise<T> {
    const answer = await this.send(path, init, as);
    return (await answer.json()) as T;
  }

  private async send(path: string, init: RequestInit = {}, as?: Kid): Promise<Response> {
    const headers = new Headers(init.headers);
    if (init.body && !headers.has("Content-Type")) headers.set("Content-Type", "application/json");
    const key = await this.present(as);
    headers.set("Authorization", `Bearer ${key.token}`);
    const answer = await this.once(path, { ...init, headers });
    if (answer.status !== 401) return this.good(answer);
    // The server forgot us, or restarted: prove ourselves once more.
    this.sessions.delete(key.kid);
    headers.set("Authorization", `Bearer ${(await this.present(as)).token}`);
    return this.good(await this.once(path, { ...init, headers }));
  }

  // Whoever holds the phone speaks for it; if the server has closed that
  // person's device key, another person's on this phone still carries entries.
  private async present(as?: Kid): Promise<{ kid: Kid; token: string }> {
    const [all, { holder }] = await Promise.all([this.db.keys(), this.db.meta()]);
    const able = all.filter((key) => key.pending === null && (as === undefined || key.kid === as));
    able.sort((a, b) => Number(b.person === holder) - Number(a.person === holder));
    let refused: unknown = new NoAnswer("Nobody is enrolled on this phone.");
    for (const key of able) {
      try {
        return { kid: key.kid, token: (await this.sessionOf(key)).token };
      } catch (problem) {
        if (!(problem instanceof ServerSaid)) throw problem;
        refused = problem;
      }
    }
    throw refused;
  }

  private async sessionOf(key: KeptKey): Promise<Session> {
    const found = this.sessions.get(key.kid);
    if (found && Date.parse(found.expires_at) > Date.now() + 30_000) return found;
    const nonce = await this.challenge();
    const device = await thumbprint(key.device.jwk);
    const proof = await signProof(key.device.pair.privateKey, device, "trammel-session", {
      nonce,
      device_key_id: device,
    });
    const headers = { "Content-Type": "application/json" };
    const init = { method: "POST", body: JSON.stringify({ proof }), headers };
    const session = (await (await this.good(await this.once("/api/session", init))).json()) as Session;
    this.sessions.set(key.kid, session);
    return session;
  }

  private async challenge(): Promise<string> {
    const answer = await this.good(await this.once("/api/session/challenge"));
    return ((await answer.json()) as { nonce: string }).nonce;
  }

  private async once(path: string, init: RequestInit = {}): Promise<Response> {
    try {
      return await this.fetch(path, { ...init, cache: "no-store", signal: AbortSignal.timeout(patience) });
    } catch {
      throw new NoAnswer("The shop's server does not answer.");
    }
  }

  private async good(answer: Response): Promise<Response> {
    if (answer.ok) return answer;
    let said: ServerError["error"] | undefined;
    try {
      said = ((await answer.json()) as ServerError).error;
    } catch {
      // A gateway in between answered in its own words; below, in ours.
    }
    // A gateway whose server is down is the same to a mechanic as no network.
    if (!said && answer.status >= 502) throw new NoAnswer("The shop's server does not answer.");
    throw new ServerSaid(
      answer.status,
      said?.code ?? `http-${answer.status}`,
      said?.message ?? `The server answered ${answer.status} without saying why.`,
    );
  }
}
