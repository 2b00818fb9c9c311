import assert from 'node:assert/strict';
import { test } from 'node:test';
import { groupsOf, marksOf, says } from '../src/rules/groups.js';

/** @param {string} id @param {string} verdict @param {any} more */
const finding = (id, verdict, more = {}) => ({
  id, verdict, said: verdict, rule: id, judge: 'by the book', book: 'b', edition: '1', clause: 'c1', source: 'c1 (b)', title: 'A title', measured: null, limit: '', why: '', advice: '', known: 'read', how_known: '', words: 'A title',
  ...more, where: { words: '', members: [], feet: [], joints: [], point: null, tubes: [], ...more.where },
});
const ALL = [
  finding('f', 'fail', { source: 'c3 (b)', where: { tubes: ['leg'] } }),
  finding('w', 'looks broken', { source: 'c2 (b)', where: { tubes: ['hoop'] } }),
  finding('t', 'cannot tell', { where: { tubes: ['hoop', 'leg_left'] } }),
  finding('p', 'pass'),
  finding('n', 'does not apply', { source: 'c3 (b)', where: { feet: ['left'] } }),
];

test('groups by clause stand worst first, each finding in one', () => {
  const groups = groupsOf(ALL, 'clause');
  assert.deepEqual(groups.map((one) => one.title), ['c3 (b)', 'c2 (b)', 'c1 (b)']);
  assert.deepEqual(groups.map((one) => one.findings.map((f) => f.id)), [['f', 'n'], ['w'], ['t', 'p']]);
});

test('groups by member name a finding under each tube, a foot that no tube stands on, or the whole cage', () => {
  const groups = new Map(groupsOf(ALL, 'member').map((one) => [one.title, one.findings.map((f) => f.id)]));
  assert.deepEqual([...groups.keys()], ['leg', 'hoop', 'leg left', 'The whole cage', 'foot left']);
  assert.deepEqual(groups.get('leg'), ['f']);
  assert.deepEqual(groups.get('hoop'), ['w', 't']);
});

test('what is looked for is found in any of its words', () => {
  assert.ok(says(ALL[0], 'leg'));
  assert.ok(!says(ALL[0], 'hoop'));
});

test('only what fails is drawn as wrong, and every mark says its verdict', () => {
  const kinds = Object.fromEntries(['fail', 'looks broken', 'look at', 'cannot tell', 'looks kept', 'pass'].map((verdict) => {
    const [mark] = marksOf(finding('x', verdict, { where: { point: [0, 0, 0] } }));
    assert.ok(mark.words.startsWith(`${verdict}: `));
    return [verdict, mark.kind];
  }));
  assert.deepEqual(kinds, { fail: 'wrong', 'looks broken': 'doubt', 'look at': 'doubt', 'cannot tell': 'doubt', 'looks kept': 'note', pass: 'note' });
  assert.deepEqual(marksOf(finding('x', 'fail')), []);
  const [own] = marksOf(finding('x', 'fail', { judge: 'own check', said: 'problem', where: { point: [0, 0, 0] } }));
  assert.deepEqual([own.kind, own.sign, own.words.slice(0, 9)], ['own', '◆', 'problem: '], 'an own check never looks like a broken rule');
});
