// Speaks with the shop's server. A phone proves itself with its device key,
// without a PIN; the token that comes back lives in memory only.
import type { Db } from "./db";
import type { OpenKey } from "./keys";
import { signProof, thumbprint } from "./jws";
import type {
  EnrolAnswer,
  InvitationAnswer,
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
  private session: Session | null = null;

  constructor(
    private readonly db: Db,
    private readonly fetch: Fetch = (input, init) => globalThis.fetch(input, init),
  ) {}

  async enrol(request: string): Promise<EnrolAnswer> {
    const answer = await this.json<EnrolAnswer>("/api/enrol", { method: "POST", body: request }, false);
    this.session = answer.session;
    return answer;
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
    const asked = new URLSearchParams({ after: String(after), limit: "500" });
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
    return this.json("/api/invitations", { method: "POST", body: JSON.stringify({ person, proof }) });
  }

  async packet(card: string, kind: "blank" | "filled", paper: "A4" | "Letter"): Promise<Blob> {
    const body = JSON.stringify({ card, kind, paper });
    return (await this.send("/api/packets", { method: "POST", body })).blob();
  }

  private async json<T>(path: string, init: RequestInit = {}, asDevice = true): Promise<T> {
    const answer = await this.send(path, init, asDevice);
    return (await answer.json()) as T;
  }

  private async send(path: string, init: RequestInit = {}, asDevice = true): Promise<Response> {
    const headers = new Headers(init.headers);
    if (init.body && !headers.has("Content-Type")) headers.set("Content-Type", "application/json");
    if (asDevice) headers.set("Authorization", `Bearer ${(await this.present()).token}`);
    const answer = await this.once(path, { ...init, headers });
    if (answer.status === 401 && asDevice) {
      // The server forgot us, or restarted: prove ourselves once more.
      this.session = null;
      headers.set("Authorization", `Bearer ${(await this.present()).token}`);
      return this.good(await this.once(path, { ...init, headers }));
    }
    return this.good(answer);
  }

  private async present(): Promise<Session> {
    if (this.session && Date.parse(this.session.expires_at) > Date.now() + 30_000) return this.session;
    const device = await this.db.device();
    if (!device) throw new NoAnswer("This phone has not been enrolled.");
    const nonce = await this.challenge();
    const kid = await thumbprint(device.jwk);
    const proof = await signProof(device.signing.privateKey, kid, "trammel-session", {
      nonce,
      device_key_id: kid,
    });
    const body = JSON.stringify({ proof });
    const headers = { "Content-Type": "application/json" };
    const answer = await this.good(await this.once("/api/session", { method: "POST", body, headers }));
    this.session = (await answer.json()) as Session;
    return this.session;
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
