// The scan's mesh as it comes from the server: uint32 n vertices, uint32 m triangles, float32 xyz, uint32 ijk.

/** @typedef {{positions: Float32Array, index: Uint32Array}} ScanMesh */

/** @param {string} url @returns {Promise<ScanMesh | null>} */
export async function fetchScan(url) {
  const answer = await fetch(url).catch(() => null);
  return answer?.ok ? readScan(await answer.arrayBuffer()) : null;
}

/** @param {ArrayBuffer} data @returns {ScanMesh | null} null where the data is no such mesh */
export function readScan(data) {
  if (data.byteLength < 8) return null;
  const [n, m] = new Uint32Array(data, 0, 2);
  if (data.byteLength !== 8 + 12 * (n + m)) return null;
  return { positions: new Float32Array(data, 8, n * 3), index: new Uint32Array(data, 8 + n * 12, m * 3) };
}
