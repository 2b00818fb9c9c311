import assert from 'node:assert/strict';
import { test } from 'node:test';
import { counts, groupsOf, says, worstFirst } from '../src/rules/groups.js';

/** @param {string} id @param {string} verdict @param {any} more */
const finding = (id, verdict, more = {}) => ({
  id, verdict, rule: id, judge: 'by the book', book: 'b', edition: '1', clause: 'c1', title: 'A title', measured: '', limit: '', why: '', advice: '', known: 'read',
  ...more, where: { words: '', members: [], feet: [], joints: [], point: null, tubes: [], ...more.where },
});
const ALL = [
  finding('p', 'pass', { clause: 'c1' }),
  finding('w', 'looks broken', { clause: 'c2', where: { tubes: ['hoop'] } }),
  finding('t', 'cannot tell', { clause: 'c1', where: { tubes: ['hoop', 'leg'] } }),
  finding('f', 'fail', { clause: 'c3', where: { tubes: ['leg'] } }),
  finding('n', 'does not apply', { clause: 'c3', where: { feet: ['left'] } }),
];

test('worst first, and what looks broken before what cannot be told', () => {
  assert.deepEqual(worstFirst(ALL).map((one) => one.id), ['f', 'w', 't', 'p', 'n']);
});

test('groups by clause stand worst first, each finding in one', () => {
  const groups = groupsOf(ALL, 'clause');
  assert.deepEqual(groups.map((one) => one.title), ['c3 · b', 'c2 · b', 'c1 · b']);
  assert.deepEqual(groups.map((one) => one.findings.map((f) => f.id)), [['f', 'n'], ['w'], ['t', 'p']]);
});

test('groups by member name a finding under each tube, a foot that no tube stands on, or the whole cage', () => {
  const groups = new Map(groupsOf(ALL, 'member').map((one) => [one.title, one.findings.map((f) => f.id)]));
  assert.deepEqual([...groups.keys()], ['leg', 'hoop', 'The whole cage', 'foot left']);
  assert.deepEqual(groups.get('leg'), ['f', 't']);
  assert.deepEqual(groups.get('hoop'), ['w', 't']);
});

test('every finding is counted once', () => {
  assert.deepEqual(counts(ALL), { fail: 1, 'looks broken': 1, 'look at': 0, 'cannot tell': 1, 'looks kept': 0, pass: 1, 'does not apply': 1 });
});

test('what is looked for is found in any of its words', () => {
  assert.ok(says(ALL[3], 'leg'));
  assert.ok(!says(ALL[3], 'hoop'));
});
