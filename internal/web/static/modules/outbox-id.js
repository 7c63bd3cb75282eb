// Ids and times of entries, made on the device where something was done.

let lastTime = 0;
let count = 0;

// newID makes a UUID of version 7 (RFC 9562, section 5.7): 48 bits of time, a
// count that keeps ids of the same millisecond in order (section 6.2, method 1),
// then chance. crypto.randomUUID would be missing on plain HTTP, and is
// version 4.
export function newID(now = Date.now()) {
  count = now > lastTime ? 0 : count + 1;
  lastTime = Math.max(now, lastTime) + (count > 0xfff ? 1 : 0);
  count %= 0x1000;
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  for (let i = 0; i < 6; i++) bytes[i] = Math.floor(lastTime / 2 ** (8 * (5 - i))) % 256;
  bytes[6] = 0x70 | (count >> 8);
  bytes[7] = count & 0xff;
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

// localTime writes a moment with the offset of this place, because the offset
// decides which day it was.
export function localTime(now = new Date()) {
  const east = -now.getTimezoneOffset();
  const shifted = new Date(now.getTime() + east * 60_000).toISOString().slice(0, 19);
  const two = (n) => String(Math.trunc(n)).padStart(2, "0");
  return shifted + (east < 0 ? "-" : "+") + two(Math.abs(east) / 60) + ":" + two(Math.abs(east) % 60);
}

// clock writes the time of day of an entry, as it was where it was made.
export function clock(at) {
  return at.slice(11, 16);
}
