// SPDX-License-Identifier: Apache-2.0
/** Distances in millimetres as colours that colour-blind eyes tell apart, and in words. */

const GONE = [0xb3, 0x58, 0x06];
const NOTHING = [0xd9, 0xd6, 0xcf];
const COME = [0x2f, 0x6f, 0xa8];

/**
 * Return three shares a corner, linear as the renderer takes them.
 * @param {Float32Array} mm
 * @param {number} level below it nothing is claimed
 * @param {number} most full colour
 */
export function coloured(mm, level, most) {
  const shares = new Float32Array(mm.length * 3);
  const room = Math.max(most - level, level, 1e-9);
  for (let k = 0; k < mm.length; k += 1) {
    const over = Math.abs(mm[k]) - level;
    const share = over <= 0 ? 0 : 0.25 + 0.75 * Math.min(over / room, 1);
    const to = mm[k] < 0 ? GONE : COME;
    for (let c = 0; c < 3; c += 1) {
      const value = (NOTHING[c] + (to[c] - NOTHING[c]) * share) / 255;
      shares[3 * k + c] = value ** 2.2;
    }
  }
  return shares;
}

/**
 * Say what went or came at a corner.
 * @param {number} mm
 * @param {number} level
 */
export function inWords(mm, level) {
  const size = `${Math.abs(mm).toPrecision(2)} mm`;
  if (Math.abs(mm) <= level) return `Here ${size}: within the level, nothing is claimed.`;
  return mm < 0 ? `Here ${size} went.` : `Here ${size} came.`;
}
