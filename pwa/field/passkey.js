/**
 * The phone's own fingerprint, face or screen code (WebAuthn, a platform authenticator), checked on the phone itself: it
 * has to open the application without a connection. It shows that somebody whom this phone knows is present. It does not
 * encrypt what the phone holds.
 *
 * @typedef {object} Passkey  what is kept of it
 * @property {ArrayBuffer} id
 * @property {ArrayBuffer} publicKey  SubjectPublicKeyInfo
 * @property {number} algorithm  COSE: -7 (ES256) or -257 (RS256)
 */
import { phrase } from './tongue.js';

const ES256 = -7;
const RS256 = -257;
const PRESENT_AND_VERIFIED = 0b101; // flags UP and UV of the authenticator's data

/** Whether this phone and this address offer it. An address that is a bare number never does. */
export async function passkeyOffered() {
  if (!globalThis.PublicKeyCredential || !/[a-z]/i.test(location.hostname) || location.hostname.includes(':')) return false;
  return PublicKeyCredential.isUserVerifyingPlatformAuthenticatorAvailable().catch(() => false);
}

/**
 * @param {{id: string, name: string}} person
 * @returns {Promise<Passkey>}
 */
export async function makePasskey({ id, name }) {
  const made = /** @type {PublicKeyCredential} */ (
    await navigator.credentials.create({
      publicKey: {
        challenge: crypto.getRandomValues(new Uint8Array(32)),
        rp: { name: 'Coiltrail' },
        user: { id: new TextEncoder().encode(id), name, displayName: name },
        pubKeyCredParams: [ES256, RS256].map((alg) => ({ type: 'public-key', alg })),
        authenticatorSelection: { authenticatorAttachment: 'platform', userVerification: 'required', residentKey: 'discouraged' },
        attestation: 'none',
      },
    })
  );
  const response = /** @type {AuthenticatorAttestationResponse} */ (made.response);
  const publicKey = response.getPublicKey();
  if (!publicKey) throw new Error(phrase('This device keeps a key of a sort that cannot be checked here.'));
  return { id: made.rawId, publicKey, algorithm: response.getPublicKeyAlgorithm() };
}

/**
 * Ask the phone who holds it.
 * @param {Passkey} passkey
 * @returns {Promise<boolean>} false: not recognised, or put off
 */
export async function askPasskey(passkey) {
  const challenge = crypto.getRandomValues(new Uint8Array(32));
  /** @type {PublicKeyCredential | null} */
  let answer;
  try {
    answer = /** @type {any} */ (
      await navigator.credentials.get({
        publicKey: {
          challenge,
          allowCredentials: [{ type: 'public-key', id: passkey.id, transports: ['internal'] }],
          userVerification: 'required',
        },
      })
    );
  } catch {
    return false;
  }
  return answer !== null && isProof(passkey, challenge, /** @type {any} */ (answer.response));
}

/**
 * Whether the answer proves presence, as Web Authentication Level 2, section 7.2, steps 11 to 20, has it.
 * @param {Passkey} passkey
 * @param {Uint8Array} challenge
 * @param {{clientDataJSON: ArrayBuffer, authenticatorData: ArrayBuffer, signature: ArrayBuffer}} response
 */
export async function isProof({ publicKey, algorithm }, challenge, { clientDataJSON, authenticatorData, signature }) {
  const said = JSON.parse(new TextDecoder().decode(clientDataJSON));
  if (said.type !== 'webauthn.get' || said.challenge !== base64url(challenge) || said.origin !== location.origin) return false;
  const told = new Uint8Array(authenticatorData);
  const ours = new Uint8Array(await crypto.subtle.digest('SHA-256', new TextEncoder().encode(location.hostname)));
  if (!ours.every((byte, at) => told[at] === byte)) return false;
  if ((told[32] & PRESENT_AND_VERIFIED) !== PRESENT_AND_VERIFIED) return false;
  const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', clientDataJSON));
  const signed = new Uint8Array([...told, ...hash]);
  if (algorithm === ES256) {
    const curve = { name: 'ECDSA', namedCurve: 'P-256' };
    const key = await crypto.subtle.importKey('spki', publicKey, curve, false, ['verify']);
    return crypto.subtle.verify({ name: 'ECDSA', hash: 'SHA-256' }, key, twoNumbers(new Uint8Array(signature)), signed);
  }
  const scheme = { name: 'RSASSA-PKCS1-v1_5', hash: 'SHA-256' };
  const key = await crypto.subtle.importKey('spki', publicKey, scheme, false, ['verify']);
  return crypto.subtle.verify(scheme, key, signature, signed);
}

/**
 * The two numbers of an ECDSA signature, 32 bytes each: from DER (RFC 3279, section 2.2.3) as WebCrypto wants them.
 * @param {Uint8Array} der
 */
function twoNumbers(der) {
  const both = new Uint8Array(64);
  let at = 2; // past the sequence's tag and length, which is below 128
  for (const end of [32, 64]) {
    const length = der[at + 1];
    const number = der.slice(at + 2, at + 2 + length);
    const digits = number.slice(Math.max(0, length - 32)); // without the zero that keeps it positive
    both.set(digits, end - digits.length);
    at += 2 + length;
  }
  return both;
}

/** @param {Uint8Array} bytes */
function base64url(bytes) {
  return btoa(String.fromCharCode(...bytes)).replaceAll('+', '-').replaceAll('/', '_').replaceAll('=', '');
}
