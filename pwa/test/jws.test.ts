import { describe, expect, it } from "vitest";
import {
  ecdsa,
  fromBase64url,
  isLowS,
  lowS,
  p256,
  publicPart,
  sign,
  thumbprint,
  toBase64url,
  wellSigned,
} from "../src/jws";

const order = 0xffffffff00000000ffffffffffffffffbce6faada7179e84f3b9cac2fc632551n;

function withS(s: bigint): Uint8Array {
  const signature = new Uint8Array(64).fill(1);
  for (let at = 63; at >= 32; at--) {
    signature[at] = Number(s & 0xffn);
    s >>= 8n;
  }
  return signature;
}

describe("base64url", () => {
  it("is strict: no padding, no foreign letters, no stray bits", () => {
    expect([...fromBase64url("AQID")]).toEqual([1, 2, 3]);
    expect(toBase64url(new Uint8Array([251, 255]))).toBe("-_8");
    for (const bad of ["AQ==", "AQ+D", "A", "AR", "AQI\n"]) expect(() => fromBase64url(bad)).toThrow();
  });
});

describe("low s", () => {
  it("leaves a low s and mirrors a high one", () => {
    expect(lowS(withS(5n))).toEqual(withS(5n));
    expect(lowS(withS(order - 5n))).toEqual(withS(5n));
    expect(lowS(withS(order / 2n))).toEqual(withS(order / 2n));
    expect(lowS(withS(order / 2n + 1n))).toEqual(withS(order / 2n));
  });

  it("holds for every signature made, and each still verifies", async () => {
    const pair = await crypto.subtle.generateKey(p256, true, ["sign", "verify"]);
    const jwk = publicPart(await crypto.subtle.exportKey("jwk", pair.publicKey));
    for (let n = 0; n < 24; n++) {
      const jws = await sign(pair.privateKey, `header.payload${n}`);
      expect(isLowS(fromBase64url(jws.split(".")[2] ?? ""))).toBe(true);
      expect(await wellSigned(jws, jwk)).toBe(true);
      expect(await wellSigned(jws.replace(`payload${n}`, "payloadx"), jwk)).toBe(false);
    }
  });

  it("refuses the high twin of a good signature", async () => {
    const pair = await crypto.subtle.generateKey(p256, true, ["sign", "verify"]);
    const jwk = publicPart(await crypto.subtle.exportKey("jwk", pair.publicKey));
    const jws = await sign(pair.privateKey, "header.payload");
    const signature = fromBase64url(jws.split(".")[2] ?? "");
    let s = 0n;
    for (const byte of signature.subarray(32)) s = (s << 8n) | BigInt(byte);
    const twin = withS(order - s);
    twin.set(signature.subarray(0, 32));
    const bytes = new TextEncoder().encode("header.payload");
    expect(await crypto.subtle.verify(ecdsa, pair.publicKey, new Uint8Array(twin), bytes)).toBe(true);
    expect(await wellSigned(`header.payload.${toBase64url(twin)}`, jwk)).toBe(false);
  });
});

describe("a key's name", () => {
  it("is the RFC 7638 thumbprint", async () => {
    // The members in order of their names, nothing else: recomputed here by hand.
    const key = { kty: "EC", crv: "P-256", x: "eA", y: "eQ" } as const;
    const text = '{"crv":"P-256","kty":"EC","x":"eA","y":"eQ"}';
    const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
    expect(await thumbprint(key)).toBe(toBase64url(digest));
  });
});
