import assert from 'node:assert/strict';
import test from 'node:test';
import { pressed } from '../src/fitup/inch_keypad.js';
import { restAt, snapsOf } from '../src/cage/snaps.js';
import { levelOf } from '../src/strength/moments.js';
import { isWhole, wordsOf } from '../src/cage/bend_list.js';

test('parts of an inch are put behind the inches and added up', () => {
  assert.equal(pressed('20', '1/4'), '20 1/4');
  assert.equal(pressed('20 1/4', '1/8'), '20 3/8');
  assert.equal(pressed('20 3/4', '1/4'), '21');
  assert.equal(pressed('', '1/2'), '1/2');
  assert.equal(pressed('2', '0'), '20');
});

test('of two tubes past yield the one used more is coloured more', () => {
  assert.ok(levelOf(1.3, 1.6) > levelOf(1.1, 1.6));
  assert.ok(levelOf(1.1, 1.6) > levelOf(1, 1.6));
  assert.equal(levelOf(1.6, 1.6), 1);
  assert.equal(levelOf(1, 1), levelOf(1, 1.6));
});

const tube = (name, axis, places) => ({ name, axis, od: 40, places: places.map((p, index) => ({ index, on: null, ...p })) });
const SCENE = {
  members: [
    tube('host', [[0, 0, 0], [0, 0, 1000]], [{ at: [0, 0, 0] }, { at: [0, 0, 1000] }]),
    tube('low', [[0, 0, 200], [400, 0, 200]], [{ at: [0, 0, 200], on: 'host' }, { at: [400, 0, 200] }]),
    tube('beyond', [[0, 0, 640], [0, -500, 640]], [{ at: [0, 0, 640], on: 'host' }, { at: [0, -500, 640] }]),
    tube('mine', [[0, 0, 300], [0, 500, 600]], [{ at: [0, 0, 300], on: 'host' }, { at: [0, 500, 600] }]),
  ],
};

test('a place on a tube rests at joints, in the middle, evenly spaced and in line with a bar beyond', () => {
  const mine = SCENE.members[3];
  const snaps = snapsOf(SCENE, mine, mine.places[0], 2);
  assert.equal(restAt(snaps, [0, 0, 645])?.words, 'in line with beyond beyond');
  assert.equal(restAt(snaps, [0, 0, 207])?.words, 'at the joint of low');
  assert.equal(restAt(snaps, [0, 0, 425])?.point[2], 420, 'half-way from low to beyond');
  assert.equal(restAt(snaps, [0, 0, 495])?.words, 'in the middle of host');
  assert.equal(restAt(snaps, [0, 0, 330]), null);
});

test('a place of its own rests level with others, the way it is dragged', () => {
  const mine = SCENE.members[3];
  const snaps = snapsOf(SCENE, mine, mine.places[1], 2);
  assert.deepEqual(restAt(snaps, [0, 500, 208])?.point, [0, 500, 200]);
  assert.equal(restAt(snaps, [0, 500, 320]), null);
});

test('a bending list is whole once every field holds a number, and says degrees', () => {
  const list = { way: 'up', towards: 'left', steps: [{ straight: '200', turn: '0', angle: '45' }], last: '8 in' };
  assert.ok(isWhole(list));
  assert.ok(!isWhole({ ...list, last: '' }));
  assert.deepEqual(wordsOf(list), { way: [0, 0, 1], towards: [0, -1, 0], last: '8 in', steps: [{ straight: 200, turn: '0 deg', angle: '45 deg' }] });
});
