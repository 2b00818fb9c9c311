import assert from 'node:assert/strict';
import { test } from 'node:test';
import { tableAt, valueAt } from '../src/curves.js';

test('a value is read straight between its neighbours, and nowhere beyond', () => {
  const curve = { name: 'a', x: [0, 10, 20], y: [0, 5, 3] };
  assert.equal(valueAt(curve, 5), 2.5);
  assert.equal(valueAt(curve, 20), 3);
  assert.equal(valueAt(curve, 20.01), null);
  assert.equal(valueAt(curve, -1), null);
  assert.equal(valueAt({ name: 'none', x: [], y: [] }, 0), null);
});

test('the table has round steps', () => {
  const to = (top) => [{ name: 'a', x: [0, top], y: [0, 1] }];
  assert.deepEqual(tableAt(to(150), 16), Array.from({ length: 16 }, (_, i) => i * 10));
  assert.deepEqual(tableAt(to(40), 10), [0, 5, 10, 15, 20, 25, 30, 35, 40]);
  assert.deepEqual(tableAt([], 10), [0]);
});
