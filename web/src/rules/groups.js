// Findings in groups, by clause or by member, worst first.

import { KINDS } from '../cage/words.js';

/** @typedef {{id: string, rule: string, book: string, edition: string, clause: string, title: string, judge: string, verdict: string, measured: string, limit: string, why: string, advice: string, known: string, where: {words: string, members: string[], feet: string[], joints: string[], point: import('../types').Vec3 | null, tubes: string[]}}} Finding */
/** @typedef {{title: string, findings: Finding[]}} Group */

/** @param {any} finding @returns {number} */
export const rank = (finding) => KINDS.indexOf(finding.verdict);

/** @param {Finding[]} findings */
export const worstFirst = (findings) => [...findings].sort((a, b) => rank(a) - rank(b));

/** @param {Finding} finding */
const clauseOf = (finding) => (finding.book === finding.clause ? finding.clause : `${finding.clause} · ${finding.book}`);

/** @param {Finding} finding */
function namesOf({ where }) {
  const feet = where.feet.map((name) => `foot ${name}`);
  const tubes = where.tubes.length ? where.tubes : where.members;
  const names = [...tubes, ...(tubes.length ? [] : feet)];
  return names.length ? names : ['The whole cage'];
}

/**
 * @param {Finding[]} findings
 * @param {'clause' | 'member'} by
 * @returns {Group[]} each worst first, the groups themselves too
 */
export function groupsOf(findings, by) {
  /** @type {Map<string, Finding[]>} */
  const groups = new Map();
  for (const finding of worstFirst(findings)) {
    for (const name of by === 'clause' ? [clauseOf(finding)] : namesOf(finding)) {
      const group = groups.get(name) ?? [];
      group.push(finding);
      groups.set(name, group);
    }
  }
  return [...groups].map(([title, inside]) => ({ title, findings: inside }));
}

/** @param {Finding[]} findings @returns {Record<string, number>} how many of each kind */
export function counts(findings) {
  const all = Object.fromEntries(KINDS.map((kind) => [kind, 0]));
  for (const finding of findings) all[finding.verdict] += 1;
  return all;
}

/** @param {Finding} finding @param {string} words looked for, in small letters */
export function says(finding, words) {
  const { title, clause, book, why, advice, measured, where } = finding;
  return [title, clause, book, why, advice, measured, where.words, ...where.tubes].join(' ').toLowerCase().includes(words);
}
