/** What the page knows of one plan at this moment, and who is told when some of it changes. */

import { KINDS } from './words.js';

/** @typedef {import('./types.js').Scene} Scene */
/** @typedef {import('./types.js').Delta} Delta */
/** @typedef {import('./types.js').Finding} Finding */
/** @typedef {import('./types.js').Chosen} Chosen */

/** @type {Readonly<Chosen>} */
export const NOTHING = Object.freeze({ members: [], joints: [], feet: [], plates: [], gussets: [], place: null });

/** @typedef {import('./types.js').Figures} Figures */
/** @typedef {{changed: Delta, figures: Figures, findings: Finding[]|null, blemishes: import('../types').Problem[]}} Tried */

/**
 * @typedef {object} Now
 * @property {Scene} scene as saved
 * @property {Figures|null} figures
 * @property {Finding[]} quick the rule books' findings, that come with every edit
 * @property {Finding[]} slow the findings of the slow checks, as they were made last
 * @property {boolean} checked whether the slow checks have been made
 * @property {Finding[]} findings both, worst first
 * @property {{figures: Figures|null, findings: Finding[]}|null} before as it was before the last edit
 * @property {import('./types.js').Choices} choices what can be chosen where a tube is added or changed
 * @property {{checking: string|null, bars: any}} later what the worker is at, and the cutting plan's answer
 * @property {import('../types').Problem[]} blemishes what has to be put right before papers and pushes, of what is shown
 * @property {Tried|null} trial what is shown but not saved
 * @property {Chosen} chosen
 * @property {'look'|'add'|'measure'|'part'} doing
 */

/** @typedef {'scene'|'figures'|'chosen'|'trial'|'doing'|'later'|'choices'} News */

/**
 * One holder for the page.
 * @param {Scene} scene
 */
export function makeBench(scene) {
  const now = /** @type {Now} */ ({
    scene,
    figures: null,
    quick: [],
    slow: [],
    checked: false,
    findings: [],
    before: null,
    choices: { roles: [], tubes: [], sold: [], dies: [], steels: [], names: { members: [], points: [], feet: [], tubes: [], plates: [], gussets: [] } },
    later: { checking: null, bars: null },
    blemishes: [],
    trial: null,
    chosen: NOTHING,
    doing: 'look',
  });
  const ears = /** @type {[News[], (now: Now) => void][]} */ ([]);
  /** @param {News[]} news */
  const tell = (...news) => {
    for (const [kinds, hear] of ears) if (kinds.some((kind) => news.includes(kind))) hear(now);
  };
  return {
    now,
    /** @param {News[]} kinds @param {(now: Now) => void} hear */
    on(kinds, hear) {
      ears.push([kinds, hear]);
    },
    /** @param {Partial<Now>} what @param {News[]} news */
    set(what, ...news) {
      Object.assign(now, what);
      tell(...news);
    },
    /** The findings anew from the quick and the slow ones. @param {News[]} news told with them */
    weigh(...news) {
      now.findings = [...now.quick, ...now.slow].sort((a, b) => KINDS.indexOf(a.verdict) - KINDS.indexOf(b.verdict));
      tell('figures', ...news);
    },
    /** @param {Partial<Chosen>} what */
    choose(what) {
      now.chosen = { ...NOTHING, ...what };
      tell('chosen');
    },
    /** @param {string} name */
    member: (name) => now.scene.members.find((m) => m.name === name) ?? null,
    /** @param {string} name as tried, or as saved */
    shown: (name) => now.trial?.changed.members?.find((m) => m.name === name) ?? now.scene.members.find((m) => m.name === name) ?? null,
    /** The only member that is chosen, or null. */
    only: () => (now.chosen.members.length === 1 ? (now.scene.members.find((m) => m.name === now.chosen.members[0]) ?? null) : null),
  };
}

/** @typedef {ReturnType<typeof makeBench>} Holder */
