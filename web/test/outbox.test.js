import assert from 'node:assert/strict';
import { test } from 'node:test';
import { withEntered } from '../src/fitup/entered.js';
import { fate, newName, Outbox } from '../src/outbox.js';

const heard = () => ({ changed() {}, answered() {}, refused() {} });
const item = (/** @type {any} */ body, uid = newName()) => ({ uid, at: 0, url: '', body, words: '' });
const step = () => ({ step: { number: 3 }, taken: [], ticks: [], record: { rows: [] } });

test('a name is 32 hexadecimal digits and another each time', () => {
  const names = new Set(Array.from({ length: 1000 }, newName));
  assert.equal(names.size, 1000);
  for (const name of names) assert.match(name, /^[0-9a-f]{32}$/);
});

test('what is no fault of the entry waits, what is one is refused, and an unforeseen mistake is tried three times', () => {
  const of = (/** @type {number} */ status, /** @type {any} */ body = null, tries = 0) => fate({ ...item({}), tries }, { status, body });
  assert.equal(of(201), 'done');
  for (const status of [0, 401, 403, 429, 503]) assert.equal(of(status), 'later');
  assert.equal(of(422, { problems: [{ code: 'busy' }] }), 'later');
  for (const status of [400, 404, 413, 422]) assert.equal(of(status), 'refused');
  assert.equal(of(500), 'later');
  assert.equal(of(500, null, 3), 'refused');
});

test('entries go one after another in their order; one that is refused stands in nobody’s way', async () => {
  const sent = /** @type {string[]} */ ([]);
  const box = new Outbox(heard(), async ({ body }) => {
    sent.push(body.says);
    return { status: body.says === '2' ? 422 : 201, body: { error: 'no' } };
  });
  await Promise.all(['1', '2', '3'].map((says) => box.add({ url: 'x', body: { says }, words: says })));
  await box.flush();
  assert.deepEqual(sent, ['1', '2', '3']);
  assert.deepEqual(box.refused.map((one) => [one.words, one.refused]), [['2', 'no']]);
  assert.equal(box.waiting.length, 0);
});

test('without a line everything waits, and the same name is sent again', async () => {
  let up = false;
  const names = /** @type {string[]} */ ([]);
  const box = new Outbox(heard(), async ({ uid }) => {
    names.push(uid);
    return { status: up ? 201 : 0, body: null };
  });
  await box.add({ url: 'x', body: {}, words: '' });
  await box.flush();
  assert.equal(box.waiting.length, 1);
  assert.equal(box.away, true);
  up = true;
  await box.flush();
  assert.equal(box.items.length, 0);
  assert.equal(new Set(names).size, 1);
});

test('what waits is shown at its step until the workbench tells it, and what is taken back is not', () => {
  const tick = item({ entry: 'tick', what: 'hoop', done: 'tack', step: '3', by: 'Jo' });
  const other = item({ entry: 'note', says: 'x', step: '4', by: 'Jo' });
  const shown = withEntered(/** @type {any} */ (step()), [tick, other]);
  assert.deepEqual(shown.ticks.map((row) => [row.what, row.waits]), [['hoop', true]]);
  assert.equal(shown.record?.rows.length, 0);
  const told = { ...step(), ticks: [{ uid: tick.uid, what: 'hoop' }] };
  assert.equal(withEntered(/** @type {any} */ (told), [tick]).ticks.length, 1);
  assert.equal(withEntered(/** @type {any} */ (told), [tick, item({ entry: 'take back', of: tick.uid })]).ticks.length, 0);
});
