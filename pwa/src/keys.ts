// One signing key for one person on this phone, behind a PIN. It is made
// extractable once, wrapped, and from then on only ever held unwrapped in
// memory, not extractable. The PIN alone opens nothing: it is mixed with a
// secret of this device that cannot be read out.
import type { Db, DeviceSecret, KeptKey } from "./db";
import { p256, publicPart, signProof, thumbprint } from "./jws";
import type { Kid } from "./wire";

export const iterations = 600_000;
export const idleMinutes = 10;
const freeTries = 3;
const longestWait = 15 * 60_000;

export class WrongPin extends Error {
  constructor(readonly waitUntil: number) {
    super("wrong PIN");
  }
}

export interface OpenKey {
  kid: Kid;
  person: string;
  name: string;
  key: CryptoKey;
}

export function pinIsLongEnough(pin: string): boolean {
  return /^\d{6,12}$/.test(pin);
}

// After three wrong PINs each further one doubles the wait.
export function waitAfter(wrong: number): number {
  return wrong < freeTries ? 0 : Math.min(longestWait, 5_000 * 2 ** (wrong - freeTries));
}

export async function deviceSecret(db: Db): Promise<DeviceSecret> {
  const found = await db.device();
  if (found) return found;
  const mix = await crypto.subtle.generateKey({ name: "HMAC", hash: "SHA-256" }, false, ["sign"]);
  const secret: DeviceSecret = { id: "device", mix };
  await db.putDevice(secret);
  return secret;
}

async function wrappingKey(
  pin: string,
  salt: Uint8Array<ArrayBuffer>,
  rounds: number,
  secret: DeviceSecret,
): Promise<CryptoKey> {
  const typed = await crypto.subtle.importKey("raw", new TextEncoder().encode(pin), "PBKDF2", false, [
    "deriveBits",
  ]);
  const stretched = await crypto.subtle.deriveBits(
    { name: "PBKDF2", hash: "SHA-256", salt, iterations: rounds },
    typed,
    256,
  );
  const mixed = await crypto.subtle.sign("HMAC", secret.mix, stretched);
  return crypto.subtle.importKey("raw", mixed, "AES-GCM", false, ["wrapKey", "unwrapKey"]);
}

export async function makeKey(
  pin: string,
  secret: DeviceSecret,
  device: string,
  rounds = iterations,
): Promise<{ kept: KeptKey; open: CryptoKey }> {
  if (!pinIsLongEnough(pin)) throw new Error("A PIN has six digits or more.");
  const pair = await crypto.subtle.generateKey(p256, true, ["sign", "verify"]);
  const jwk = publicPart(await crypto.subtle.exportKey("jwk", pair.publicKey));
  const kid = await thumbprint(jwk);
  const salt = crypto.getRandomValues(new Uint8Array(16));
  const iv = crypto.getRandomValues(new Uint8Array(12));
  const wrapping = await wrappingKey(pin, salt, rounds, secret);
  const wrapped = await crypto.subtle.wrapKey("pkcs8", pair.privateKey, wrapping, { name: "AES-GCM", iv });
  const deviceKeys = await crypto.subtle.generateKey(p256, false, ["sign", "verify"]);
  const deviceJwk = publicPart(await crypto.subtle.exportKey("jwk", deviceKeys.publicKey));
  const kept: KeptKey = {
    kid,
    person: "",
    name: "",
    jwk,
    wrapped,
    iv,
    salt,
    iterations: rounds,
    device: { pair: deviceKeys, jwk: deviceJwk, name: device },
    pending: null,
    wrong: 0,
    wait_until: 0,
  };
  return { kept, open: await unwrap(pin, kept, secret) };
}

export function unwrap(pin: string, kept: KeptKey, secret: DeviceSecret): Promise<CryptoKey> {
  return wrappingKey(pin, kept.salt, kept.iterations, secret).then((wrapping) =>
    crypto.subtle.unwrapKey("pkcs8", kept.wrapped, wrapping, { name: "AES-GCM", iv: kept.iv }, p256, false, [
      "sign",
    ]),
  );
}

// Opens a key with its PIN. Wrong PINs are counted on disk before they are
// tried and slow the next one down.
export async function openKey(db: Db, kid: Kid, pin: string, now = Date.now()): Promise<OpenKey> {
  const [kept, secret] = await Promise.all([
    db.keys().then((all) => all.find((k) => k.kid === kid)),
    db.device(),
  ]);
  if (!kept || !secret) throw new Error("This key is not on this phone.");
  if (kept.wait_until > now) throw new WrongPin(kept.wait_until);
  const waitUntil = now + waitAfter(kept.wrong + 1);
  await db.noteTry(kid, kept.wrong + 1, waitUntil);
  let key: CryptoKey;
  try {
    key = await unwrap(pin, kept, secret);
  } catch {
    throw new WrongPin(waitUntil);
  }
  await db.noteTry(kid, 0, 0);
  return { kid, person: kept.person, name: kept.name, key };
}

export async function enrolRequest(code: string, kept: KeptKey, open: CryptoKey): Promise<string> {
  const { pair, jwk, name } = kept.device;
  const proof = await signProof(open, kept.kid, "trammel-enrol", {
    code,
    device_key: jwk,
    device: name,
  });
  const deviceKid = await thumbprint(jwk);
  const deviceProof = await signProof(pair.privateKey, deviceKid, "trammel-device", { code });
  return JSON.stringify({ code, key: kept.jwk, proof, device_proof: deviceProof });
}

// Holds the key of whoever holds the phone, and forgets it after ten idle
// minutes. Timers sleep while the screen is off, so the clock is asked.
export class Hand {
  private open: OpenKey | null = null;
  private touched = 0;

  constructor(
    private readonly changed: () => void,
    private readonly clock: () => number = Date.now,
  ) {}

  take(key: OpenKey): void {
    this.open = key;
    this.touched = this.clock();
    this.changed();
  }

  touch(): void {
    if (this.key()) this.touched = this.clock();
  }

  key(): OpenKey | null {
    if (this.open && this.clock() - this.touched >= idleMinutes * 60_000) this.close();
    return this.open;
  }

  close(): void {
    if (!this.open) return;
    this.open = null;
    this.changed();
  }
}
