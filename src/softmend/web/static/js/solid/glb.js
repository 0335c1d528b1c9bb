// SPDX-License-Identifier: Apache-2.0
/** Reads our own display copy: one mesh of 16-bit corners about its middle, and its triangles. */

/** @typedef {{positions: Float32Array, indices: Uint32Array, middle: number[]}} Copy */

const JSON_CHUNK = 0x4e4f534a;

/**
 * Return corners about the middle, triangles, and the middle in the file's own coordinates.
 * @param {ArrayBuffer} bytes
 * @returns {Copy}
 */
export function readCopy(bytes) {
  const view = new DataView(bytes);
  const length = view.getUint32(12, true);
  if (view.getUint32(0, true) !== 0x46546c67 || view.getUint32(16, true) !== JSON_CHUNK) {
    throw new Error("this is no display copy");
  }
  const told = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 20, length)));
  const body = 20 + length + 8;
  const [corners, sides] = told.bufferViews;
  const { count } = told.accessors[0];
  const steps = new Int16Array(bytes, body + (corners.byteOffset ?? 0), count * 4);
  const { translation, scale } = told.nodes[0];
  const positions = new Float32Array(count * 3);
  for (let k = 0; k < count; k += 1) {
    positions[3 * k] = steps[4 * k] * scale[0];
    positions[3 * k + 1] = steps[4 * k + 1] * scale[0];
    positions[3 * k + 2] = steps[4 * k + 2] * scale[0];
  }
  const indices = new Uint32Array(bytes, body + sides.byteOffset, told.accessors[1].count).slice();
  return { positions, indices, middle: translation };
}
