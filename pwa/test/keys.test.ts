import "fake-indexeddb/auto";
import { beforeEach, describe, expect, it } from "vitest";
import { Db } from "../src/db";
import { payloadOf, sign, wellSigned } from "../src/jws";
import {
  deviceSecret,
  enrolRequest,
  Hand,
  idleMinutes,
  makeKey,
  openKey,
  unwrap,
  WrongPin,
  waitAfter,
} from "../src/keys";
import type { EnrolRequest } from "../src/wire";

// Few rounds here: the count is the same code, and a test should be quick.
const rounds = 1_000;
let named = 0;
let db: Db;

beforeEach(async () => {
  named += 1;
  db = await Db.open(`keys-${named}`);
});

async function made(pin = "246810") {
  const { kept, open } = await makeKey(pin, await deviceSecret(db), "a phone", rounds);
  const key = { ...kept, person: "wenna", name: "Wenna Tolland" };
  await db.putKey(key);
  return { key, open };
}

describe("a signing key", () => {
  it("opens with its PIN, signs, and cannot be taken out again", async () => {
    const { key } = await made();
    const open = await openKey(db, key.kid, "246810");
    expect(open).toMatchObject({ person: "wenna", name: "Wenna Tolland" });
    expect(open.key.extractable).toBe(false);
    await expect(crypto.subtle.exportKey("pkcs8", open.key)).rejects.toThrow();
    expect(await wellSigned(await sign(open.key, "a.b"), key.jwk)).toBe(true);
  });

  it("does not open on another device, even with the PIN", async () => {
    const { key } = await made();
    const other = await deviceSecret(await Db.open(`other-${named}`));
    await expect(unwrap("246810", key, other)).rejects.toThrow();
  });

  it("stretches the PIN 600,000 times unless a test says otherwise", async () => {
    const { kept } = await makeKey("135791", await deviceSecret(db), "a phone");
    expect(kept.iterations).toBe(600_000);
  });

  it("wants six digits or more", async () => {
    const secret = await deviceSecret(db);
    for (const pin of ["12345", "abcdef", "", "12 456"]) {
      await expect(makeKey(pin, secret, "a phone", rounds)).rejects.toThrow(/six digits/);
    }
  });
});

describe("wrong PINs", () => {
  it("are counted, slow the next try down, and are forgiven by the right one", async () => {
    const { key } = await made();
    let now = 1_000_000;
    const wrong = (pin: string) => openKey(db, key.kid, pin, now).catch((problem) => problem);
    for (let n = 0; n < 2; n++) expect(await wrong("000000")).toBeInstanceOf(WrongPin);
    const third = (await wrong("000000")) as WrongPin;
    expect(third.waitUntil).toBe(now + waitAfter(3));
    // Within the wait even the right PIN is not tried.
    expect(await wrong("246810")).toBeInstanceOf(WrongPin);
    now = third.waitUntil;
    expect((await openKey(db, key.kid, "246810", now)).kid).toBe(key.kid);
    expect((await db.keys())[0]).toMatchObject({ wrong: 0, wait_until: 0 });
  });

  it("double the wait each time, up to a quarter of an hour", () => {
    expect([0, 1, 2, 3, 4, 5].map(waitAfter)).toEqual([0, 0, 0, 5_000, 10_000, 20_000]);
    expect(waitAfter(40)).toBe(15 * 60_000);
  });
});

describe("the hand that holds the phone", () => {
  it("lets go after ten idle minutes, not before, and when told to", () => {
    let now = 0;
    let told = 0;
    const hand = new Hand(
      () => {
        told += 1;
      },
      () => now,
    );
    const key = { kid: "k", person: "p", name: "P", key: {} as CryptoKey };
    hand.take(key);
    now += idleMinutes * 60_000 - 1;
    hand.touch();
    now += idleMinutes * 60_000 - 1;
    expect(hand.key()).toBe(key);
    now += 1;
    expect(hand.key()).toBeNull();
    hand.take(key);
    hand.close();
    expect(hand.key()).toBeNull();
    expect(told).toBe(4);
  });
});

describe("the request to be enrolled", () => {
  it("proves both keys over the code, under types of their own", async () => {
    const { key, open } = await made();
    const request = JSON.parse(await enrolRequest("ABCD-1234", key, open)) as EnrolRequest;
    expect(request.key).toEqual(key.jwk);
    expect(await wellSigned(request.proof, key.jwk)).toBe(true);
    expect(await wellSigned(request.device_proof, key.device.jwk)).toBe(true);
    expect(payloadOf(request.proof)).toEqual({
      code: "ABCD-1234",
      device_key: key.device.jwk,
      device: "a phone",
    });
    const header = JSON.parse(atob(request.proof.split(".")[0] ?? ""));
    expect(header).toEqual({ alg: "ES256", kid: key.kid, typ: "trammel-enrol" });
  });
});
