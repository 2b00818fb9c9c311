import assert from 'node:assert/strict';
import { test } from 'node:test';
import { Camera, standOf } from '../src/view/camera.js';
import { placeLabels, spread } from '../src/view/labels.js';
import { memberAt, pointAt } from '../src/view/pick.js';
import { ramp } from '../src/view/ramp.js';
import { readScan } from '../src/view/scan.js';
import { sheet } from '../src/view/solids.js';
import { cutAt, ROUND, sweep } from '../src/view/tube.js';
import { dot, length, sub, unit } from '../src/view/vec.js';

const near = (got, wanted, room = 1e-6) => assert.ok(Math.abs(got - wanted) <= room, `${got} is not ${wanted}`);
const vertex = (mesh, i) => [...mesh.positions.slice(3 * i, 3 * i + 3)];
const never = () => false;

/** Signed volume of a closed triangle mesh (divergence theorem). */
function volume(positions, index) {
  let sum = 0;
  for (let t = 0; t < index.length; t += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => positions.slice(3 * index[t + k], 3 * index[t + k] + 3));
    sum += a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0]);
  }
  return sum / 6;
}

test('a straight tube has its radius everywhere and its faces look outwards', () => {
  const mesh = sweep({ axis: [[0, 0, 0], [0, 0, 500]], od: 40, wall: 2 });
  for (let i = 0; i < 2 * ROUND; i += 1) near(Math.hypot(...vertex(mesh, i).slice(0, 2)), 20, 1e-4);
  for (let t = 0; t < mesh.index.length; t += 3) {
    const [a, b, c] = [0, 1, 2].map((k) => vertex(mesh, mesh.index[t + k]));
    const [u, v] = [sub(b, a), sub(c, a)];
    const face = unit([u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0]]);
    const normal = mesh.normals.slice(3 * mesh.index[t], 3 * mesh.index[t] + 3);
    assert.ok(dot(face, normal) > 0.9);
  }
});

test('a bent tube keeps its radius to the chord of its polygon', () => {
  const arc = Array.from({ length: 21 }, (_, i) => [100 * Math.sin((i * Math.PI) / 40), 0, 100 * (1 - Math.cos((i * Math.PI) / 40))]);
  const mesh = sweep({ axis: arc, od: 38, wall: 2.5 });
  arc.forEach((at, i) => {
    for (let k = 0; k < ROUND; k += 1) near(length(sub(vertex(mesh, i * ROUND + k), at)), 19, 1e-4);
  });
});

// A tube of radius r set square on a main of radius R is cut where the outside meets the main's:
// R^2 = y^2 + x^2 with y = r sin(phi) across the main's axis (elementary geometry of two cylinders).
test('a cope on a main lies on the outside of the main', () => {
  const [r, R] = [19, 22.5];
  const cut = Array.from({ length: 48 }, (_, k) => Math.sqrt(R * R - (r * Math.sin((2 * Math.PI * k) / 48)) ** 2));
  const end = { which: 'start', kind: 'cope', origin: [0, 0, 0], axis: [1, 0, 0], zero: [0, 0, 1], cut };
  const far = { ...end, which: 'end', origin: [400, 0, 0], axis: [-1, 0, 0], zero: [0, 0, 1] };
  const mesh = sweep({ axis: [[0, 0, 0], [400, 0, 0]], od: 2 * r, wall: 2.5, ends: [end, far] });
  for (let k = 0; k < ROUND; k += 1) {
    const [x, y] = vertex(mesh, k);
    near(Math.hypot(x, y), R, 1e-3); // the main's axis runs along z
    const [x2, y2] = vertex(mesh, ROUND + k);
    near(Math.hypot(400 - x2, y2), R, 1e-3);
  }
});

test('a lopsided cut keeps its hand at both ends', () => {
  const cut = Array.from({ length: 48 }, (_, k) => 5 * Math.sin((2 * Math.PI * k) / 48));
  const end = { which: 'end', kind: 'cope', origin: [0, 0, 300], axis: [0, 0, -1], zero: [1, 0, 0], cut };
  const quarter = [0, -1, 0]; // right-handed about -z from x comes -y
  near(cutAt(end, quarter), 5);
  near(cutAt(end, [0, 1, 0]), -5);
});

test('a cut that reaches past the first bend leaves no ring outside the tube', () => {
  const end = { which: 'start', kind: 'flat', origin: [0, 0, 0], axis: [1, 0, 0], zero: [0, 0, 1], cut: Array(48).fill(30) };
  const mesh = sweep({ axis: [[0, 0, 0], [20, 0, 0], [25, 0, 0], [400, 0, 0]], od: 40, wall: 2, ends: [end] });
  for (let i = 0; i < mesh.positions.length / 3; i += 1) assert.ok(vertex(mesh, i)[0] > 29.9);
});

test('a sheet is closed, faces out, and has its volume', () => {
  for (const [corners, out] of [
    [[[0, 0, 0], [100, 0, 0], [100, 50, 0], [0, 50, 0]], [0, 0, 1]],
    [[[0, 50, 0], [100, 50, 0], [100, 0, 0], [0, 0, 0]], [0, 0, 1]],
    [[[0, 0, 0], [100, 0, 0], [100, 50, 0], [0, 50, 0]], undefined],
  ]) {
    const shape = sheet(corners, 3, out);
    const positions = [...shape.getAttribute('position').array];
    near(volume(positions, positions.map((_, i) => i).slice(0, positions.length / 3)), 100 * 50 * 3, 1e-2);
  }
});

test('standard views look the way they say', () => {
  const camera = new Camera();
  const ahead = (name) => (camera.set({ ...standOf(name), eye: null }), camera.basis);
  near(ahead('left').toward[1], -1); // seen from the left: the eye is on the negative side of across
  near(ahead('left').right[0], 1); // and the back of the car is on the right
  near(ahead('front').toward[0], -1);
  near(ahead('front').right[1], -1); // from the front the car's right is on the left
  near(ahead('above').toward[2], 1);
  near(ahead('above').right[0], 1);
  near(ahead('above').up[1], 1);
});

test('a spot and the point under it agree, and zoom keeps what is under the pointer', () => {
  const camera = new Camera();
  const point = [120, -300, 900];
  const spot = camera.spot(point);
  camera.point(spot.x, spot.y, point).forEach((one, k) => near(one, point[k]));
  camera.zoom(1.7, spot.x, spot.y);
  const after = camera.spot(point);
  near(after.x, spot.x, 1e-6);
  near(after.y, spot.y, 1e-6);
});

test('fitted points are all in the picture', () => {
  const camera = new Camera();
  camera.size(500, 900);
  const points = [[0, -700, 0], [2300, 700, 1300], [100, 600, 1200]];
  camera.set(camera.fitted(points));
  for (const point of points) {
    const { x, y } = camera.spot(point);
    assert.ok(x > 0 && x < 500 && y > 0 && y < 900);
  }
});

test('the nearer of two crossing tubes is picked, and a finger has more room', () => {
  const camera = new Camera();
  camera.set({ ...standOf('left'), target: [0, 0, 0], scale: 1 });
  const members = [
    { name: 'far', axis: [[-200, 100, 0], [200, 100, 0]], od: 40 },
    { name: 'near', axis: [[0, -100, -200], [0, -100, 200]], od: 40 },
  ];
  const at = camera.spot([0, 0, 0]);
  assert.equal(memberAt(camera, members, at, 6, never)?.name, 'near');
  const beside = { x: at.x + 150, y: at.y + 30 };
  assert.equal(memberAt(camera, members, beside, 6, never), null);
  assert.equal(memberAt(camera, members, beside, 18, never)?.name, 'far');
  assert.equal(memberAt(camera, members, at, 6, (point) => point[1] < 0)?.name, 'far');
});

test('the nearest point is picked within reach', () => {
  const camera = new Camera();
  camera.set({ ...standOf('left'), target: [0, 0, 0], scale: 1 });
  const points = [{ name: 'a', point: [0, 0, 0] }, { name: 'b', point: [14, 0, 0] }];
  const at = camera.spot([9, 0, 0]);
  assert.equal(pointAt(camera, points, at, 12, never)?.name, 'b');
  assert.equal(pointAt(camera, points, { x: at.x, y: at.y + 40 }, 12, never), null);
});

test('no label lies on another or outside the picture', () => {
  const wanted = Array.from({ length: 12 }, (_, i) => ({ x: 200 + (i % 4) * 30, y: 150 + i * 6, wide: 90, high: 20, gap: 10 }));
  const boxes = placeLabels(wanted, { left: 0, top: 0, right: 600, bottom: 400 }).filter((box) => box !== null);
  assert.ok(boxes.length >= 8);
  const edge = placeLabels([{ x: 590, y: 5, wide: 90, high: 20, gap: 10 }], { left: 0, top: 0, right: 600, bottom: 400 })[0];
  assert.ok(edge !== null && edge.right <= 600 && edge.top >= 0);
  boxes.forEach((a, i) => boxes.slice(i + 1).forEach((b) => assert.ok(a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top)));
});

test('marks at one spot are spread so that each can be pressed', () => {
  const placed = spread(Array.from({ length: 9 }, () => ({ x: 100, y: 100 })), 32);
  placed.forEach((a, i) => placed.slice(i + 1).forEach((b) => assert.ok(Math.hypot(a.x - b.x, a.y - b.y) >= 32)));
});

// tests/unit/workbench/test_workbench_bundle.py holds these beside those of the papers (make/ramp.py).
test('the ramp has the colours of the papers and darkens all the way', () => {
  assert.deepEqual([0, 0.25, 0.5, 0.75, 1].map(ramp), ['#f5e389', '#c3b286', '#918381', '#5e577a', '#193071']);
  assert.equal(ramp(-1), ramp(0));
  assert.equal(ramp(NaN), ramp(0));
  const light = (hex) => [1, 3, 5].reduce((sum, i) => sum + parseInt(hex.slice(i, i + 2), 16) * [0.2126, 0.7152, 0.0722][(i - 1) / 2], 0);
  for (let i = 1; i <= 20; i += 1) assert.ok(light(ramp(i / 20)) < light(ramp((i - 1) / 20)));
});

test('a scan is read, and a spoilt one is not', () => {
  const data = new ArrayBuffer(8 + 12 * 3 + 12);
  new Uint32Array(data, 0, 2).set([3, 1]);
  new Float32Array(data, 8, 9).set([0, 0, 0, 1, 0, 0, 0, 1, 0]);
  new Uint32Array(data, 44, 3).set([0, 1, 2]);
  assert.deepEqual([...readScan(data).index], [0, 1, 2]);
  assert.equal(readScan(data.slice(0, 40)), null);
  assert.equal(readScan(new ArrayBuffer(4)), null);
});
