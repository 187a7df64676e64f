// Ids made on this device.
const SIGNS = "0123456789abcdefghjkmnpqrstvwxyz";
const bytes = (number) => crypto.getRandomValues(new Uint8Array(number));

/** A random UUID, also where the page has no secure context. */
export function uuid() {
  const raw = bytes(16);
  raw[6] = (raw[6] & 15) | 64;
  raw[8] = (raw[8] & 63) | 128;
  const hex = Array.from(raw, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

/** What an entry is called until the server has a name for it. */
export const newHandle = () => `new-${uuid()}`;

/** The id of a job that is begun here. */
export const newJobId = () => Array.from(bytes(26), (byte) => SIGNS[byte & 31]).join("");

/** The id that pages have which are for any job. */
export const ANY_JOB = "0".repeat(26);
