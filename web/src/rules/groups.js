// Findings in groups, by clause or by member.

import { paintOf, sayName, signOf } from '../cage/words.js';

/** @typedef {import('../types').FindingRow} Finding */
/** @typedef {{title: string, findings: Finding[]}} Group */

/** @param {Finding} finding */
function namesOf({ where }) {
  const feet = where.feet.map((name) => `foot ${name}`);
  const tubes = where.tubes.length ? where.tubes : where.members;
  const names = [...tubes, ...(tubes.length ? [] : feet)];
  return names.length ? names.map(sayName) : ['The whole cage'];
}

/**
 * @param {Finding[]} findings
 * @param {'clause' | 'member'} by
 * @returns {Group[]} the findings come worst first, so each group and the groups themselves do
 */
export function groupsOf(findings, by) {
  /** @type {Map<string, Finding[]>} */
  const groups = new Map();
  for (const finding of findings) {
    for (const name of by === 'clause' ? [finding.source] : namesOf(finding)) {
      const group = groups.get(name) ?? [];
      group.push(finding);
      groups.set(name, group);
    }
  }
  return [...groups].map(([title, inside]) => ({ title, findings: inside }));
}

/** @param {Finding} finding @param {string} words looked for, in small letters */
export function says(finding, words) {
  const { words: line, source, why, advice, where } = finding;
  return [line, source, why, advice, ...where.tubes].join(' ').toLowerCase().includes(words);
}

/** Its mark in the picture. @param {Finding} finding @returns {import('../shapes').Mark[]} */
export function marksOf(finding) {
  const { point } = finding.where;
  return point ? [{ point, kind: paintOf(finding), sign: signOf(finding), words: `${finding.said}: ${finding.words}`, key: finding.id }] : [];
}
