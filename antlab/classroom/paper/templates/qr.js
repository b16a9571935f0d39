// A QR code (ISO/IEC 18004) of a text, bytes of UTF-8 at error correction L: what paper/qr.py does where Python is.

const QR_MOST = 40;
// For each version: bytes of error correction in a block, and blocks (the standard's table 9, level L).
const QR_EXTRA = [7, 10, 15, 20, 26, 18, 20, 24, 30, 18, 20, 24, 26, 30, 22, 24, 28, 30, 28, 28, 28, 28, 30, 30, 26, 28,
  30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30, 30];
const QR_BLOCKS = [1, 1, 1, 1, 1, 2, 2, 2, 2, 4, 4, 4, 4, 4, 6, 6, 6, 6, 7, 8, 8, 9, 9, 10, 12, 12, 12, 13, 14, 15, 16,
  17, 18, 19, 19, 20, 21, 22, 24, 25];
const QR_MASKS = [
  (x, y) => (x + y) % 2, (x, y) => y % 2, (x) => x % 3, (x, y) => (x + y) % 3,
  (x, y) => (Math.floor(x / 3) + Math.floor(y / 2)) % 2, (x, y) => x * y % 2 + x * y % 3,
  (x, y) => (x * y % 2 + x * y % 3) % 2, (x, y) => ((x + y) % 2 + x * y % 3) % 2,
];

// The code as SVG, or "" for a text that is too long for one.
function qrCode(text) {
  const bytes = [...new TextEncoder().encode(text)];
  let version = 1;
  while (version <= QR_MOST && bytes.length > qrRoom(version)) version++;
  if (version > QR_MOST) return "";
  const tried = QR_MASKS.map((_, mask) => qrModules(bytes, version, mask));
  const worst = tried.map(qrPenalty), best = tried[worst.indexOf(Math.min(...worst))], wide = best.length + 8;
  const path = best.flatMap((row, y) => row.flatMap((dark, x) => dark ? `M${x + 4} ${y + 4}h1v1h-1z` : [])).join("");
  return `<svg viewBox="0 0 ${wide} ${wide}" role="img" aria-label="The log as a QR code" shape-rendering="crispEdges">` +
    `<rect width="${wide}" height="${wide}" fill="#fff"/><path d="${path}" fill="#000"/></svg>`;
}

const qrMarks = (version) => version > 1 ? Math.floor(version / 7) + 2 : 0; // alignment patterns along a side
function qrBytes(version) {
  const marks = qrMarks(version);
  let modules = (16 * version + 128) * version + 64;
  if (marks) modules -= (25 * marks - 10) * marks - 55 + (version > 6 ? 36 : 0);
  return Math.floor(modules / 8);
}
const qrData = (version) => qrBytes(version) - QR_EXTRA[version - 1] * QR_BLOCKS[version - 1];
const qrRoom = (version) => qrData(version) - (version < 10 ? 2 : 3);

// Bytes of the code: mode, count, data and padding, in blocks, each with its error correction, dealt out in turn.
function qrWords(bytes, version) {
  const bits = [[4, 4], [bytes.length, version < 10 ? 8 : 16], ...bytes.map((one) => [one, 8])]
    .map(([value, wide]) => value.toString(2).padStart(wide, "0")).join("") + "0000";
  const data = bits.match(/.{1,8}/g).map((one) => parseInt(one.padEnd(8, "0"), 2)).slice(0, qrData(version));
  for (let pad = 0xec; data.length < qrData(version); pad ^= 0xec ^ 0x11) data.push(pad);
  const count = QR_BLOCKS[version - 1], short = Math.floor(data.length / count), longer = data.length % count, blocks = [];
  for (let i = 0, at = 0; i < count; i++) {
    const size = short + (i >= count - longer ? 1 : 0);
    blocks.push(data.slice(at, at += size));
  }
  const extra = blocks.map((block) => qrCorrection(block, QR_EXTRA[version - 1]));
  const dealt = (all) => [...Array(Math.max(...all.map((one) => one.length))).keys()].flatMap((i) =>
    all.filter((one) => i < one.length).map((one) => one[i]));
  return [...dealt(blocks), ...dealt(extra)];
}

function qrTimes(a, b) { // in the field of 256 elements, modulo x^8 + x^4 + x^3 + x^2 + 1
  let product = 0;
  for (let i = 7; i >= 0; i--) {
    product = (product << 1) ^ ((product >> 7) * 0x11d);
    product ^= ((b >> i) & 1) * a;
  }
  return product;
}

function qrCorrection(block, count) {
  const divisor = Array(count).fill(0);
  divisor[count - 1] = 1;
  for (let i = 0, root = 1; i < count; i++, root = qrTimes(root, 2)) {
    for (let k = 0; k < count; k++) divisor[k] = qrTimes(divisor[k], root) ^ (divisor[k + 1] ?? 0);
  }
  const rest = Array(count).fill(0);
  for (const one of block) {
    const factor = one ^ rest.shift();
    rest.push(0);
    divisor.forEach((part, i) => { rest[i] ^= qrTimes(part, factor); });
  }
  return rest;
}

function qrModules(bytes, version, mask) {
  const size = 4 * version + 17, dark = Array.from({ length: size }, () => Array(size).fill(null));
  const set = (x, y, on) => { if (dark[y]?.[x] !== undefined) dark[y][x] = Boolean(on); };
  const ring = (x, y, reach, whiteAt) => {
    for (let dy = -reach; dy <= reach; dy++) for (let dx = -reach; dx <= reach; dx++) {
      set(x + dx, y + dy, !whiteAt.includes(Math.max(Math.abs(dx), Math.abs(dy))));
    }
  };
  for (let i = 0; i < size; i++) {
    set(6, i, i % 2 === 0);
    set(i, 6, i % 2 === 0);
  }
  for (const [x, y] of [[3, 3], [size - 4, 3], [3, size - 4]]) ring(x, y, 4, [2, 4]);
  const marks = qrMarks(version), last = size - 7, places = [6];
  const step = version === 32 ? 26 : Math.ceil((4 * version + 4) / (2 * marks - 2)) * 2;
  for (let at = last, i = 1; i < marks; i++, at -= step) places.splice(1, 0, at);
  for (const x of places) for (const y of places) {
    const corner = (x === 6 && y === 6) || (x === 6 && y === last) || (x === last && y === 6);
    if (marks && !corner) ring(x, y, 2, [1]);
  }
  qrFormat(set, size, mask);
  if (version > 6) qrVersion(set, size, version);
  const words = qrWords(bytes, version);
  let at = 0;
  for (let right = size - 1; right > 0; right -= 2) {
    if (right === 6) right = 5;
    for (let i = 0; i < size; i++) for (const x of [right, right - 1]) {
      const y = (right + 1) & 2 ? i : size - 1 - i;
      if (dark[y][x] !== null) continue;
      const bit = at < 8 * words.length ? (words[at >> 3] >> (7 - (at & 7))) & 1 : 0;
      dark[y][x] = Boolean(bit) !== (QR_MASKS[mask](x, y) === 0);
      at++;
    }
  }
  return dark;
}

function qrRest(value, length, divisor) {
  let rest = value;
  for (let i = 0; i < length; i++) rest = (rest << 1) ^ ((rest >> (length - 1)) * divisor);
  return (value << length) | rest;
}

function qrFormat(set, size, mask) {
  const bits = qrRest((1 << 3) | mask, 10, 0x537) ^ 0x5412, bit = (i) => (bits >> i) & 1;
  for (let i = 0; i < 6; i++) set(8, i, bit(i));
  set(8, 7, bit(6));
  set(8, 8, bit(7));
  set(7, 8, bit(8));
  for (let i = 9; i < 15; i++) set(14 - i, 8, bit(i));
  for (let i = 0; i < 8; i++) set(size - 1 - i, 8, bit(i));
  for (let i = 8; i < 15; i++) set(8, size - 15 + i, bit(i));
  set(8, size - 8, 1);
}

function qrVersion(set, size, version) {
  const bits = qrRest(version, 12, 0x1f25);
  for (let i = 0; i < 18; i++) {
    const far = size - 11 + i % 3, near = Math.floor(i / 3), on = (bits >> i) & 1;
    set(far, near, on);
    set(near, far, on);
  }
}

// How hard a code is to read: long runs, blocks, what looks like a corner, too much of one colour.
function qrPenalty(dark) {
  const size = dark.length, all = [...Array(size).keys()];
  const lines = [...dark, ...all.map((x) => dark.map((row) => row[x]))].map((line) => line.map(Number).join(""));
  let sum = 0;
  for (const line of lines) {
    for (const run of line.match(/0{5,}|1{5,}/g) ?? []) sum += run.length - 2;
    for (const look of ["10111010000", "00001011101"]) {
      for (let at = line.indexOf(look); at >= 0; at = line.indexOf(look, at + 1)) sum += 40;
    }
  }
  for (let y = 1; y < size; y++) for (let x = 1; x < size; x++) {
    if ([dark[y - 1][x], dark[y][x - 1], dark[y - 1][x - 1]].every((one) => one === dark[y][x])) sum += 3;
  }
  const share = dark.flat().filter(Boolean).length / size ** 2;
  return sum + 10 * Math.floor(Math.abs(share - 0.5) * 20);
}
