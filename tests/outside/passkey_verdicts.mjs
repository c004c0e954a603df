// Reads answers of an authenticator from stdin and writes what the phone's own check makes of each.
import { isProof } from '../../pwa/field/passkey.js';

const bytes = (text) => new Uint8Array(Buffer.from(text, 'base64'));
let given = '';
for await (const piece of process.stdin) given += piece;
const { origin, cases } = JSON.parse(given);
globalThis.location = new URL(origin);
const verdicts = [];
for (const { publicKey, algorithm, challenge, ...response } of cases) {
  const { clientDataJSON, authenticatorData, signature } = response;
  verdicts.push(
    await isProof({ publicKey: bytes(publicKey), algorithm }, bytes(challenge), {
      clientDataJSON: bytes(clientDataJSON),
      authenticatorData: bytes(authenticatorData),
      signature: bytes(signature),
    }),
  );
}
process.stdout.write(JSON.stringify(verdicts));
