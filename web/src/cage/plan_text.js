/** The plan's text: what everything else can be done with by hand, with its problems at their lines. */

import { ask, onState, planUrl, Refused } from '../net.js';
import { askText, lineOf, problemList, say } from '../say.js';
import { button, el, fill } from './dom.js';

/** @typedef {import('../types').Problem} Problem */

/** Where this browser keeps the words of this plan that are not kept yet. */
const DRAFT = `cagewright text ${document.body.dataset.plan}`;

/**
 * @param {HTMLElement} holder
 * @param {import('./chosen.js').Does} does
 */
export function planText(holder, does) {
  let kept = '';
  let asked = 0;
  let loads = 0;
  let listed = false;
  let timer = 0;
  let loaded = false;
  let only = false;
  const text = el('textarea', { class: 'plan-text', spellcheck: 'false', wrap: 'off', 'aria-label': "The plan's text", rows: 20, 'data-key': 'text' });
  const lines = el('div', { class: 'cage-lines', 'aria-hidden': 'true' });
  const problems = el('div', { role: 'status' });
  const keep = button('Keep this text', () => void set(), { class: 'main' });
  const back = button('As it was', () => show(kept));
  const where = el('span', { class: 'quiet cage-line' });

  /** Words that are not kept yet stay in this browser, whatever becomes of the page. */
  const keepDraft = () => {
    if (!loaded) return;
    if (text.value === kept) localStorage.removeItem(DRAFT);
    else localStorage.setItem(DRAFT, JSON.stringify({ words: text.value, at: Date.now() }));
    document.getElementById('tab-text')?.classList.toggle('unkept', text.value !== kept);
  };
  /** @param {string} words */
  const show = (words) => {
    const at = text.value ? text.selectionStart : 0;
    text.value = words;
    text.setSelectionRange(at, at);
    tell([]);
  };
  const count = () => {
    keepDraft();
    const many = text.value.split('\n').length;
    if (lines.childElementCount !== many) fill(lines, ...Array.from({ length: many }, (_, n) => el('span', { text: n + 1 })));
    back.disabled = text.value === kept;
    keep.disabled = back.disabled || listed;
    place();
  };
  const place = () => { where.textContent = `line ${text.value.slice(0, text.selectionStart).split('\n').length}`; };
  /** @param {Problem[]} found @param {boolean} [hard] whether they leave nothing to show */
  const tell = (found, hard = true) => {
    listed = found.length > 0 && hard;
    only = found.length > 0 && !hard;
    fill(problems, only ? el('p', { class: 'cage-hint', text: 'It can be kept and seen; papers and pushes wait until these are put right.' }) : null, found.length ? problemList(found, (problem) => goTo(text, lineOf(problem.where))) : null);
    count();
  };

  const check = async () => {
    const mine = (asked += 1);
    const { found, hard } = await tried(text.value);
    if (mine === asked) tell(found, hard);
  };
  const set = async () => {
    clearTimeout(timer);
    const { found, hard } = await tried(text.value);
    tell(found, hard);
    if (found.length && hard) return;
    if (await does.edit({ text: text.value })) await load();
  };
  const load = async () => {
    const mine = (loads += 1);
    const answer = await fetch(planUrl('/text'), { cache: 'no-store' });
    const words = answer.ok ? await answer.text() : null;
    if (words === null || mine !== loads) return; // the last asked is the one that counts
    const changed = text.value !== kept; // asked now: words may have been typed, or found, while it was fetched
    kept = words;
    if (!changed || text.value === kept) show(kept);
    else count();
    if (!loaded) takeDraft();
    loaded = true;
  };
  /** What was written before the page went, and never kept. */
  const takeDraft = () => {
    const draft = JSON.parse(localStorage.getItem(DRAFT) ?? 'null');
    if (!draft || draft.words === kept) return;
    text.value = draft.words;
    count();
    void check();
    say(`Your words of ${new Date(draft.at).toLocaleTimeString([], { hour: '2-digit', minute: '2-digit' })} are here again, and not kept yet.`);
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
  fill(holder,
    el('p', { class: 'cage-hint', text: 'Everything can be done here too. It is checked while you type; keep it and it is one change that undo takes back.' }),
    problems, el('div', { class: 'cage-text' }, lines, text), el('div', { class: 'cage-actions' }, where, back, keep),
    el('div', { class: 'cage-actions cage-files' }, el('a', { class: 'button', href: planUrl('/text'), download: true }, 'Download the plan'), button('Save as …', () => void saveAs())));
  onState(() => holder.checkVisibility() && void load());
  return {
    load,
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

/** The problems that a text has; none where it is sound. @param {string} text @returns {Promise<{found: Problem[], hard: boolean}>} */
async function tried(text) {
  try {
    return { found: (await ask('POST', planUrl('/edits'), { text, trial: true }, { quiet: true })).blemishes ?? [], hard: false };
  } catch (wrong) {
    return { found: wrong instanceof Refused ? (wrong.body.problems ?? []) : [], hard: true };
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
