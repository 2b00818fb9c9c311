import assert from 'node:assert/strict';
import { test } from 'node:test';
import { boxOf, meets, sightLine } from '../src/shell/scan_pick.js';
import { Camera } from '../src/view/camera.js';

/** A box from `low` to `high` as two triangles a side. */
function box(low, high) {
  const corners = [0, 1, 2, 3, 4, 5, 6, 7].map((n) => [0, 1, 2].map((axis) => ((n >> axis) & 1 ? high[axis] : low[axis])));
  const sides = [[0, 1, 3, 2], [4, 5, 7, 6], [0, 1, 5, 4], [2, 3, 7, 6], [0, 2, 6, 4], [1, 3, 7, 5]];
  const index = sides.flatMap(([a, b, c, d]) => [a, b, c, a, c, d]);
  return { positions: Float32Array.from(corners.flat()), index: Uint32Array.from(index) };
}

const near = (a, b, within = 1e-3) => a.forEach((v, i) => assert.ok(Math.abs(v - b[i]) < within, `${a} is not ${b}`));
const BODY = box([400, -750, 100], [2400, 750, 1300]);

test('a line of sight meets the nearer side of a box', () => {
  near(meets(BODY, [0, 100, 700], [1, 0, 0]), [400, 100, 700]);
  near(meets(BODY, [3000, 100, 700], [-1, 0, 0]), [2400, 100, 700]);
  near(meets(BODY, [1000, 0, 5000], [0, 0, -1]), [1000, 0, 1300]);
});

test('a line past the box meets nothing, and an eye sees only what is ahead', () => {
  assert.equal(meets(BODY, [0, 800, 700], [1, 0, 0]), null);
  near(meets(BODY, [1000, 0, 700], [1, 0, 0], true), [2400, 0, 700]);
  assert.equal(meets(BODY, [3000, 0, 700], [1, 0, 0], true), null);
});

test('what is met under a spot of the picture shows at that spot, from anywhere', () => {
  const camera = new Camera();
  camera.size(900, 700);
  for (const [azimuth, elevation, eye] of [[-2.4, 0.4, null], [0.3, 1.1, null], [3.1, 0, null], [0, -0.05, [-900, 50, 800]]]) {
    camera.set({ azimuth, elevation, eye, target: [1400, 0, 700], scale: eye ? 450 : 0.2 });
    if (eye) camera.set({ azimuth: Math.PI });
    const { from, way } = sightLine(camera, 470, 330);
    const point = meets(BODY, from, way, Boolean(eye));
    assert.ok(point, `nothing met from ${azimuth}, ${elevation}`);
    const spot = camera.spot(point);
    near([spot.x, spot.y], [470, 330], 0.01);
    const onFace = point.some((v, axis) => [[400, 2400], [-750, 750], [100, 1300]][axis].some((side) => Math.abs(v - side) < 0.01));
    assert.ok(onFace);
  }
});

test('the corners of the box round a mesh', () => {
  const corners = boxOf(BODY);
  assert.equal(new Set(corners.map(String)).size, 8);
  near(corners[0], [400, -750, 100]);
  near(corners[7], [2400, 750, 1300]);
});
