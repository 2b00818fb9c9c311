/** The plan's text: what everything else can be done with by hand, with its problems at their lines. */

import { ask, onState, planUrl, Refused } from '../net.js';
import { askOneOf, askText, lineOf, problemList } from '../say.js';
import { button, el, fill } from './dom.js';

/** @typedef {import('../types').Problem} Problem */

/**
 * @param {HTMLElement} holder
 * @param {import('./chosen.js').Does} does
 */
export function planText(holder, does) {
  let kept = '';
  let asked = 0;
  let keeping = false;
  let listed = false;
  let timer = 0;
  const text = el('textarea', { class: 'plan-text', spellcheck: 'false', wrap: 'off', 'aria-label': "The plan's text", rows: 20, 'data-key': 'text' });
  const lines = el('div', { class: 'cage-lines', 'aria-hidden': 'true' });
  const problems = el('div', { role: 'status' });
  const keep = button('Keep this text', () => void set(), { class: 'main' });
  const back = button('As it was', () => show(kept));
  const where = el('span', { class: 'quiet cage-line' });

  /** @param {string} words */
  const show = (words) => {
    const at = text.value ? text.selectionStart : 0;
    text.value = words;
    text.setSelectionRange(at, at);
    tell([]);
  };
  const count = () => {
    const many = text.value.split('\n').length;
    if (lines.childElementCount !== many) fill(lines, ...Array.from({ length: many }, (_, n) => el('span', { text: n + 1 })));
    back.disabled = text.value === kept;
    keep.disabled = back.disabled || listed;
    place();
  };
  const place = () => { where.textContent = `line ${text.value.slice(0, text.selectionStart).split('\n').length}`; };
  /** @param {Problem[]} found */
  const tell = (found) => {
    listed = found.length > 0;
    fill(problems, listed ? problemList(found, (problem) => goTo(text, lineOf(problem.where))) : null);
    count();
  };

  const check = async () => {
    const mine = (asked += 1);
    const found = await tried(text.value);
    if (mine === asked) tell(found);
  };
  const set = async () => {
    clearTimeout(timer);
    const found = await tried(text.value);
    tell(found);
    if (found.length) return;
    keeping = true; // the page may be loaded anew before the answer comes back here
    if (await does.edit({ text: text.value })) await load();
    keeping = false;
  };
  const load = async () => {
    const answer = await fetch(planUrl('/text'), { cache: 'no-store' });
    if (!answer.ok) return;
    const changed = text.value !== kept;
    kept = await answer.text();
    if (!changed || text.value === kept) show(kept);
    else count();
  };
  text.addEventListener('input', () => {
    count();
    clearTimeout(timer);
    timer = window.setTimeout(() => void check(), 600);
  });
  text.addEventListener('scroll', () => { lines.scrollTop = text.scrollTop; });
  for (const event of ['keyup', 'click']) text.addEventListener(event, place);
  text.addEventListener('keydown', (event) => {
    if (event.key !== 's' || !(event.ctrlKey || event.metaKey)) return;
    event.preventDefault();
    void set();
  });
  addEventListener('beforeunload', (event) => {
    if (text.value !== kept && !keeping) event.preventDefault();
  });
  fill(holder,
    el('p', { class: 'cage-hint', text: 'Everything can be done here too. It is checked while you type; keep it and it is one change that undo takes back.' }),
    problems, el('div', { class: 'cage-text' }, lines, text), el('div', { class: 'cage-actions' }, where, back, keep),
    el('div', { class: 'cage-actions cage-files' }, el('a', { class: 'button', href: planUrl('/text'), download: true }, 'Download the plan'), button('Save as …', () => void saveAs())));
  onState(() => holder.checkVisibility() && void load());
  return {
    load,
    /** Ask what becomes of a text that is not kept. @param {() => void} again back to the text */
    left: async (again) => {
      if (text.value === kept) return;
      const answer = await askOneOf('The text is changed and not kept.', [
        { words: 'As it was', value: 'drop' }, { words: 'Go on writing', value: 'write' }, { words: 'Keep it', value: 'keep', main: true },
      ]);
      if (answer === 'drop') show(kept);
      if (answer === 'keep') await set();
      if (text.value !== kept) again();
    },
    /** @param {Problem} problem */
    goTo: async (problem) => {
      await load();
      goTo(text, lineOf(problem.where));
    },
  };
}

/** The plan as it is under another name, and on with that one. */
async function saveAs() {
  const name = await askText('Save the plan as', { yes: 'Save', hint: 'The new plan stands beside this one, and is opened.' });
  if (!name?.trim()) return;
  const made = await ask('POST', planUrl('/save-as'), { name: name.trim() }).catch(() => null);
  if (made) location.assign(`/plans/${encodeURIComponent(made.id)}/cage`);
}

/** The problems that a text has; none where it is sound. @param {string} text @returns {Promise<Problem[]>} */
async function tried(text) {
  try {
    return (await ask('POST', planUrl('/edits'), { text, trial: true }, { quiet: true })).problems ?? [];
  } catch (wrong) {
    return wrong instanceof Refused ? (wrong.body.problems ?? []) : [];
  }
}

/** @param {HTMLTextAreaElement} text @param {number} line */
function goTo(text, line) {
  if (!line) return;
  const rows = text.value.split('\n');
  const start = rows.slice(0, line - 1).reduce((sum, row) => sum + row.length + 1, 0);
  text.focus();
  text.setSelectionRange(start, start + (rows[line - 1]?.length ?? 0));
  text.scrollTop = Math.max(0, (line - 4) * parseFloat(getComputedStyle(text).lineHeight));
}
