// The Cage page's own reckoning: places on tubes, gaps, trials that come and go. Expected values are by hand.
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { runningThrough } from '../src/cage/asks.js';
import { changed, instead, undone } from '../src/delta.js';
import { KEYS } from '../src/cage/keys.js';
import { countSaid } from '../src/cage/findings_list.js';
import { measured } from '../src/cage/measure.js';
import { meaning } from '../src/cage/number_field.js';
import { leastGap, lengthOf, nearest, passes, placeAt, placeOn, pointAt } from '../src/cage/reach.js';
import { restingOn, withTwins } from '../src/cage/rests.js';
import { change } from '../src/cage/strip.js';
import { makeTries } from '../src/cage/tries.js';
import { tapeLength } from '../src/cage/words.js';

const near = (got, wanted, by = 1e-6) => assert.ok(Math.abs(got - wanted) <= by, `${got} is not ${wanted}`);
const tube = (name, axis, more = {}) => ({ name, role: 'diagonal', tube: 'bar', od: 40, wall: 2, mass: 1, length: 1, axis, places: [], ends: [], bends: [], ...more });
const cage = (members, more = {}) => ({ number: 1, revision: 'a', units: 'mm', box: [[0, 0, 0], [1, 1, 1]], members, joints: [], feet: [], plates: [], gussets: [], couplings: [], lines: [], people: [], mounts: [], scan: null, ...more });
const HOOP = tube('hoop', [[1600, -600, 200], [1600, -600, 1200], [1600, 600, 1200], [1600, 600, 200]]);

test('the nearest place of a centre line, and how far along it is', () => {
  const found = nearest(HOOP.axis, [1700, -100, 1250]);
  assert.deepEqual(found.point, [1600, -100, 1200]);
  near(found.along, 1000 + 500);
  near(found.gap, Math.hypot(100, 50));
  near(lengthOf(HOOP.axis), 1000 + 1200 + 1000);
  assert.deepEqual(pointAt(HOOP.axis, 1500), [1600, -100, 1200]);
});

test('a pick on a tube is said the way the tube runs, with its side where two places fit', () => {
  assert.deepEqual(placeOn(HOOP, [1600, -590, 700.3], 'mm'), { on: 'hoop', up: 700, side: 'left' });
  assert.deepEqual(placeOn(HOOP, [1600, 590, 700.3], 'mm'), { on: 'hoop', up: 700, side: 'right' });
  assert.deepEqual(placeOn(HOOP, [1600, 120.4, 1210], 'mm'), { on: 'hoop', across: 120 });
  assert.deepEqual(placeOn(HOOP, [1600, 120.4, 1210], 'mm', 'along'), { on: 'hoop', along: 1720 });
  assert.deepEqual(placeOn(HOOP, [1600, 0, 1210], 'mm', 'part'), { on: 'hoop', part: 0.5 });
  assert.deepEqual(placeOn(HOOP, [1600, -600, 703], 'in'), { on: 'hoop', up: '27 11/16 in', side: 'left' });
});

test('two places of one side are told apart by a rough place', () => {
  const bow = tube('bow', [[0, -700, 0], [500, -700, 300], [1000, -700, 0]]);
  assert.deepEqual(placeOn(bow, [250, -700, 150], 'mm', 'up'), { on: 'bow', up: 150, near: [250, -700, 150] });
});

test('a seat chosen from a list leaves room at the tube for both cuts', () => {
  const scene = cage([HOOP]);
  assert.deepEqual(placeAt(scene, 'member hoop', [1600, -600, 150]), { on: 'hoop', up: 300, side: 'left' });
  assert.deepEqual(placeAt(scene, 'foot hoop_left', [0, 0, 0]), { foot: 'hoop_left' });
  assert.deepEqual(placeAt(scene, 'coordinates ', [1.4, -2.6, 3]), { at: [1, -3, 3] });
});

test('a coordinate that a tube passes twice, once, not at all', () => {
  assert.equal(passes(HOOP.axis, 2, 700).length, 2);
  assert.equal(passes(HOOP.axis, 1, 0).length, 1);
  assert.equal(passes(HOOP.axis, 2, 1500).length, 0);
});

test('skew tubes: the least distance is along their common perpendicular', () => {
  const found = leastGap([[0, -500, 0], [0, 500, 0]], [[-500, 0, 120], [500, 0, 120]]);
  near(found.gap, 120);
  near(leastGap([[0, 0, 0], [100, 0, 0]], [[130, 40, 0], [300, 40, 0]]).gap, 50); // 3-4-5: past each other's ends
  near(leastGap([[0, 0, 0], [100, 0, 0]], [[20, 30, 0], [80, 30, 0]]).gap, 30); // parallel
});

test('distance of two tubes, axis and skin, and of two places', () => {
  const [one, two] = [tube('one', [[0, -500, 0], [0, 500, 0]]), tube('two', [[-500, 0, 120], [500, 0, 120]], { od: 30 })];
  const least = measured({ words: '', point: null, member: one }, { words: '', point: null, member: two });
  near(least.axes, 120);
  near(least.skins, 120 - 20 - 15);
  assert.equal(least.straight, null);
  const places = measured({ words: '', point: [0, 0, 0], member: null }, { words: '', point: [30, -40, 120], member: null });
  near(places.straight, 130);
  assert.deepEqual(places.parts, [30, -40, 120]);
});

test('a change and what takes it back', () => {
  const before = cage([tube('a', [[0, 0, 0], [1, 0, 0]]), tube('b', [[0, 0, 0], [0, 1, 0]])], { joints: [{ name: 'b.start' }] });
  const delta = { number: 2, revision: 'b', members: [tube('c', [[0, 0, 0], [0, 0, 1]]), tube('a', [[5, 0, 0], [6, 0, 0]])], gone: ['b'], order: null, rest: { joints: [] } };
  const after = changed(before, delta);
  assert.deepEqual(after.members.map((m) => m.name), ['a', 'c']);
  assert.equal(after.members[0].axis[0][0], 5);
  assert.deepEqual(changed(after, undone(before, delta)), before);
});

test('a second trial does not leave what only the first one moved', () => {
  const before = cage([tube('a', [[0, 0, 0], [1, 0, 0]]), tube('b', [[0, 0, 0], [0, 1, 0]])]);
  const first = { number: 1, revision: 'x', members: [tube('a', [[9, 0, 0], [9, 9, 9]])], gone: [], order: null, rest: {} };
  const second = { number: 1, revision: 'y', members: [tube('b', [[7, 0, 0], [7, 7, 7]])], gone: [], order: null, rest: {} };
  const shown = changed(changed(before, first), instead(before, first, second));
  assert.deepEqual(shown.members, changed(before, second).members);
  const third = { number: 1, revision: 'z', members: [tube('new', [[1, 0, 0], [2, 0, 0]])], gone: [], order: null, rest: {} };
  const then = changed(changed(before, third), instead(before, third, second));
  assert.deepEqual(then.members, changed(before, second).members, 'a tube that was only tried is gone again');
});

test('what rests on what rests on a tube goes with it, and twins count', () => {
  const on = (name, main, more = {}) => tube(name, [[0, 0, 0], [1, 0, 0]], { places: [{ index: 0, at: [0, 0, 0], kind: 'member', on: main }], ...more });
  const scene = cage([tube('hoop', HOOP.axis), on('leg', 'hoop'), on('leg_right', 'hoop', { mirror_of: 'leg' }), on('header', 'leg_right'), on('other', 'floor')]);
  assert.deepEqual(restingOn(scene, ['leg']), ['header']);
  assert.deepEqual(withTwins(scene, ['leg_right']).sort(), ['leg', 'leg_right']);
  assert.deepEqual(restingOn(scene, ['hoop']).sort(), ['header', 'leg', 'leg_right']);
});

test('only a tube that touches and does not rest there runs through another', () => {
  const main = tube('main', [[0, -500, 0], [0, 500, 0]]);
  const cross = tube('cross', [[-500, 0, 10], [500, 0, 10]]);
  const rests = tube('rests', [[0, 100, 0], [500, 100, 0]], { places: [{ index: 0, at: [0, 100, 0], kind: 'member', on: 'main' }] });
  const far = tube('far', [[-500, 0, 50], [500, 0, 50]]);
  assert.deepEqual(runningThrough(cage([main, cross, rests, far]), main), ['cross']);
});

test('what is typed: bare numbers stay numbers, words keep their unit, nonsense is nothing', () => {
  const wants = { units: 'mm' };
  assert.equal(meaning(' 518 ', wants), 518);
  assert.equal(meaning('20 3/8 in', wants), '20 3/8 in');
  assert.equal(meaning('20 3/8', { units: 'in' }), '20 3/8');
  assert.equal(meaning('a hand', wants), null);
  assert.equal(meaning('0.25', { units: 'mm', bare: true }), 0.25);
  assert.equal(meaning('1.2', { units: 'mm', bare: true }), null);
});

test('a drag lands on the marks of the tape', () => {
  assert.equal(tapeLength(517.525, 'mm'), 518);
  assert.equal(tapeLength(517.6, 'in'), '20 3/8 in'); // 517.6 / 25.4 = 20.378; the nearest 1/16 is 20.375
});

test('findings are counted as their judge calls them, the books and the own checks apart', () => {
  const book = ['pass', 'looks broken', 'fail', 'fail'].map((verdict) => ({ judge: 'by the book', verdict, said: verdict }));
  const own = [['pass', 'fine'], ['looks kept', 'fine'], ['fail', 'problem']].map(([verdict, said]) => ({ judge: 'own check', verdict, said }));
  const counts = (judge) => [...countSaid([...book, ...own], judge)].map(([said, { number }]) => [said, number]);
  assert.deepEqual(counts('by the book'), [['fail', 2], ['looks broken', 1], ['pass', 1]]);
  assert.deepEqual(counts('own check'), [['problem', 1], ['fine', 2]]);
});

test('a change too small to print is none', () => {
  assert.equal(change(0.0001, (kg) => `${kg.toFixed(1)} kg`, 'neither'), null);
  assert.equal(change(null, String, 'neither'), null);
});

test('of many trials one is under way and only the newest waits', async () => {
  const sent = [];
  const shown = [];
  const going = [];
  const tries = makeTries((edit) => new Promise((done) => { sent.push(edit); going.push(() => done(edit)); }), (answer) => shown.push(answer));
  const turn = () => new Promise((done) => setTimeout(done));
  for (const edit of ['1', '2', '3']) tries.ask(edit);
  assert.deepEqual(sent, ['1']);
  going[0]();
  await turn();
  assert.deepEqual(sent, ['1', '3']);
  tries.stop();
  going[1]();
  await turn();
  assert.deepEqual(shown, ['1']);
});

test('every key of the page is in its documentation', () => {
  const page = readFileSync(new URL('../../docs/cage-page.md', import.meta.url), 'utf8');
  for (const { keys, words } of KEYS) {
    const shown = keys.split(' ').map((key) => '`' + key + '`').join(' ');
    assert.ok(page.includes(`| ${shown} | ${words} |`), `${keys}: ${words}`);
  }
});
