// The few bytes of RFC 7515 and RFC 7638 that the host has to make itself:
// everything about what an entry says is the workings'.
import type { Kid, PublicJwk } from "./wire";

const order = 0xffffffff00000000ffffffffffffffffbce6faada7179e84f3b9cac2fc632551n;
const utf8 = new TextEncoder();

export const ecdsa = { name: "ECDSA", hash: "SHA-256" } as const;
export const p256 = { name: "ECDSA", namedCurve: "P-256" } as const;

export function toBase64url(bytes: ArrayBuffer | Uint8Array): string {
  let text = "";
  for (const byte of bytes instanceof Uint8Array ? bytes : new Uint8Array(bytes)) {
    text += String.fromCharCode(byte);
  }
  return btoa(text).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

// Strict: no padding, no foreign letters, no stray bits at the end.
export function fromBase64url(text: string): Uint8Array<ArrayBuffer> {
  if (!/^[A-Za-z0-9_-]*$/.test(text) || text.length % 4 === 1) {
    throw new Error("Not base64url without padding.");
  }
  const found = atob(text.replaceAll("-", "+").replaceAll("_", "/"));
  const bytes = new Uint8Array(found.length);
  for (let at = 0; at < found.length; at++) bytes[at] = found.charCodeAt(at);
  if (toBase64url(bytes) !== text) throw new Error("Not base64url without stray bits.");
  return bytes;
}

export async function sha256(bytes: BufferSource): Promise<string> {
  return toBase64url(await crypto.subtle.digest("SHA-256", bytes));
}

// What an entry says, for the book; nothing here judges it.
export function payloadOf(jws: string): unknown {
  return JSON.parse(new TextDecoder().decode(fromBase64url(jws.split(".")[1] ?? "")));
}

// What an entry says of itself, before anybody has checked it.
export interface Told {
  hash: string;
  kid: Kid;
  number: number;
  about: string;
  key: PublicJwk | null;
}

export async function toldBy(jws: string): Promise<Told> {
  const cut = jws.lastIndexOf(".");
  const [header = "", payload = ""] = jws.split(".");
  const read = (part: string) => JSON.parse(new TextDecoder().decode(fromBase64url(part)));
  const { kid } = read(header) as { kid: Kid };
  const { number, about, kind, body } = read(payload) as {
    number: number;
    about: string;
    kind: string;
    body: { key?: PublicJwk };
  };
  const hash = await sha256(utf8.encode(jws.slice(0, cut)));
  return {
    hash,
    kid,
    number,
    about,
    key: kind === "key" && about === "register" ? (body.key ?? null) : null,
  };
}

export function thumbprint(key: PublicJwk): Promise<Kid> {
  const { crv, kty, x, y } = key;
  return sha256(utf8.encode(JSON.stringify({ crv, kty, x, y })));
}

export function publicPart(key: JsonWebKey): PublicJwk {
  return { kty: "EC", crv: "P-256", x: key.x ?? "", y: key.y ?? "" };
}

function numberFrom(bytes: Uint8Array): bigint {
  let value = 0n;
  for (const byte of bytes) value = (value << 8n) | BigInt(byte);
  return value;
}

// Of the two signatures that say the same, the one with the lower s: an entry
// then has one form only, and nobody can make a second one out of it.
export function lowS(signature: Uint8Array): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(signature);
  let s = numberFrom(out.subarray(32));
  if (s <= order / 2n) return out;
  s = order - s;
  for (let at = 63; at >= 32; at--) {
    out[at] = Number(s & 0xffn);
    s >>= 8n;
  }
  return out;
}

export function isLowS(signature: Uint8Array): boolean {
  const s = numberFrom(signature.subarray(32));
  return signature.length === 64 && s > 0n && s <= order / 2n;
}

export async function sign(key: CryptoKey, signingInput: string): Promise<string> {
  const raw = await crypto.subtle.sign(ecdsa, key, utf8.encode(signingInput));
  return `${signingInput}.${toBase64url(lowS(new Uint8Array(raw)))}`;
}

// A proof for the server: signed like an entry, under another typ, so that it
// can never pass for one.
export async function signProof(
  key: CryptoKey,
  kid: Kid,
  typ: "trammel-enrol" | "trammel-device" | "trammel-session" | "trammel-invite",
  payload: Record<string, unknown>,
): Promise<string> {
  const header = toBase64url(utf8.encode(JSON.stringify({ alg: "ES256", kid, typ })));
  return sign(key, `${header}.${toBase64url(utf8.encode(JSON.stringify(payload)))}`);
}

const imported = new Map<string, Promise<CryptoKey>>();

export async function wellSigned(jws: string, key: PublicJwk): Promise<boolean> {
  const cut = jws.lastIndexOf(".");
  const signature = fromBase64url(jws.slice(cut + 1));
  if (!isLowS(signature)) return false;
  const id = `${key.x}.${key.y}`;
  let verifying = imported.get(id);
  if (!verifying) {
    verifying = crypto.subtle.importKey("jwk", key, p256, false, ["verify"]);
    imported.set(id, verifying);
  }
  return crypto.subtle.verify(ecdsa, await verifying, signature, utf8.encode(jws.slice(0, cut)));
}
