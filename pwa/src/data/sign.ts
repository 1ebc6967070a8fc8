// The key that this device signs its entries with. The browser makes it and never gives it out: it
// can be used here and nowhere else. Bytes to sign and their form come from the Go side.
import { isSample, setSetting, setting, type SigningKey } from "./db";

const ALGORITHM = { name: "ECDSA", namedCurve: "P-256" } as const;

const base64url = (b: ArrayBuffer): string =>
  btoa(String.fromCharCode(...new Uint8Array(b)))
    .replaceAll("+", "-")
    .replaceAll("/", "_")
    .replaceAll("=", "");

/** This device's key, made at the first call; undefined where the browser has no such keys. */
export async function ownKey(): Promise<SigningKey | undefined> {
  const old = await setting("key");
  const subtle = globalThis.crypto?.subtle as SubtleCrypto | undefined;
  if (old || !subtle || isSample()) return old;
  const pair = await subtle.generateKey(ALGORITHM, false, ["sign", "verify"]);
  const key: SigningKey = {
    secret: pair.privateKey,
    public: base64url(await subtle.exportKey("raw", pair.publicKey)),
    told: "",
    entered: "",
  };
  await setSetting("key", key);
  return key;
}

/** Signs a text as an entry's signature has it. */
export async function sign(key: SigningKey, text: string): Promise<string> {
  return base64url(
    await crypto.subtle.sign(
      { name: "ECDSA", hash: "SHA-256" },
      key.secret,
      new TextEncoder().encode(text),
    ),
  );
}
