// Expected marks are those of an inch tape: 1 in = 25.4 mm exactly (international inch, 1959).
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { fieldLength, fixed, parseLength, sayAngle, sayLength, sayMass, shortLength, toInches } from '../src/numbers.js';

const near = (got, wanted) => assert.ok(got !== null && Math.abs(got - wanted) < 1e-6, `${got} is not ${wanted}`);

test('what a builder types', () => {
  near(parseLength('20 3/8 in', 'mm'), 517.525);
  near(parseLength('20-3/8"', 'mm'), 517.525);
  near(parseLength('20 3/8', 'in'), 517.525);
  near(parseLength('20⅜"', 'mm'), 517.525);
  near(parseLength('3/4″', 'mm'), 19.05);
  near(parseLength('-1/2 in', 'mm'), -12.7);
  near(parseLength('−12,5', 'mm'), -12.5);
  near(parseLength('518', 'mm'), 518);
  near(parseLength('518', 'in'), 13157.2);
  near(parseLength('51.8 cm', 'in'), 518);
  near(parseLength(' 45 mm ', 'in'), 45);
  near(parseLength('1.5 ft', 'mm'), 457.2);
});

test('what is no length', () => {
  for (const text of ['', 'abc', '20 9/8 in', '1/3 in', '1/0 in', '20 3/8 kg', '1e3', '12 34', 'Infinity', '99999999', '<b>']) {
    assert.equal(parseLength(text, 'mm'), null, text);
  }
});

test('the nearest mark of the tape, with what it leaves out', () => {
  assert.equal(toInches(517.525).text, '20 3/8"');
  near(toInches(517.525).remainder, 0);
  assert.equal(toInches(518).text, '20 13/32"');
  near(toInches(518).remainder, -0.31875);
  assert.equal(toInches(0).text, '0"');
  assert.equal(toInches(-12.7).text, '-1/2"');
  assert.equal(toInches(25.3).text, '1"');
  near(toInches(-25.3).remainder, 0.1);
});

test('a mark exactly between two goes to the even one, as on the papers', () => {
  assert.equal(toInches(25.4 / 64).text, '0"');
  assert.equal(toInches(25.4 + 25.4 / 64).text, '1"');
});

test('as it is read', () => {
  assert.equal(sayLength(517.5, 'mm'), '517.5 mm');
  assert.equal(sayLength(518, 'in'), '20 13/32"');
  assert.equal(sayLength(517.525, 'in'), '20 3/8"');
  assert.equal(sayLength(517.525, 'decimal in'), '20.375"');
  assert.equal(shortLength(517.6, 'mm'), '518 mm');
  assert.equal(shortLength(517.6, 'in'), '20 3/8"');
  assert.equal(fixed(-0.01, 1), '0.0');
  assert.equal(sayAngle(Math.PI / 8), '22.5°');
  assert.equal(sayMass(45.359237, 'in'), '100.0 lb');
  assert.equal(sayMass(45.359237, 'mm'), '45.4 kg');
});

test('a length is read as base/say.py says it', () => {
  const cases = JSON.parse(readFileSync(new URL('../../tests/data/said_lengths.json', import.meta.url), 'utf8'));
  assert.ok(cases.length > 100);
  for (const [mm, units, said] of cases) assert.equal(sayLength(mm, units), said, `${mm} ${units}`);
});

test('what a field shows means the same length again', () => {
  for (const units of ['mm', 'in']) {
    for (const mm of [0, 12.7, 517.525, 518, -33.33, 1234.56, 25.4 / 64]) {
      assert.ok(Math.abs(parseLength(fieldLength(mm, units), units) - mm) < 0.006, `${mm} ${units} ${fieldLength(mm, units)}`);
    }
  }
});
