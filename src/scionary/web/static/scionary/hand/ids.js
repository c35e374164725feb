// Ids made where a record is written: UUID version 7. Those made one after another keep their order.
let lastMs = 0;
let counter = 0;

export function uuid7(now = Date.now()) {
  const ms = Math.floor(now);
  counter = ms > lastMs ? 0 : counter + 1;
  lastMs = Math.max(ms, lastMs);
  if (counter > 0xfff) {
    lastMs += 1;
    counter = 0;
  }
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  const view = new DataView(bytes.buffer);
  view.setUint16(0, Math.floor(lastMs / 2 ** 32));
  view.setUint32(2, lastMs % 2 ** 32);
  view.setUint16(6, 0x7000 | counter);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
