/**
 * @param {BufferSource} bytes
 * @returns {Promise<string>} SHA-256 in small hexadecimal letters
 */
export async function sha256Of(bytes) {
  const digest = await crypto.subtle.digest('SHA-256', bytes);
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
}
