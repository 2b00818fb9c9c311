/** The row of tools over the picture: where one stands, fit, section, what is shown, and what is being done. */

import { fieldLength, parseLength, shortLength } from '../numbers.js';
import { button, choice, el, fill } from './dom.js';
import { AXES } from './words.js';

/** @typedef {import('./types.js').Units} Units */
/** @typedef {import('./bench.js').Holder} Holder */

/** @type {[import('../shapes').Stand, string][]} */
export const STANDS = [['three-quarter', 'Corner'], ['left', 'Left'], ['right', 'Right'], ['front', 'Front'], ['rear', 'Rear'], ['above', 'Above'], ['driver', 'Driver']];

/** @type {[string, string, boolean][]} part, words, shown at first */
const PARTS = [['lines', 'Body lines', true], ['scan', 'Scan', true], ['people', 'People', true], ['feet', 'Feet', true], ['names', 'Names', false], ['marks', 'Findings', true], ['pieces', 'Piece numbers', false], ['welds', 'Weld numbers', false], ['axes', 'Axes of bends', false], ['was', 'As it was before the last change', false]];

/**
 * @typedef {object} ToolsDo
 * @property {(stand: import('../shapes').Stand) => void} stand
 * @property {() => void} fit
 * @property {(cut: import('../shapes').Cut) => void} section
 * @property {(parts: Record<string, boolean>) => void} parts
 * @property {() => void} add
 * @property {() => void} measure
 * @property {(share: number) => void} apart
 * @property {(what: string) => void} make a foot, a plate, a gusset, a bar by its bending list
 */

/**
 * @param {HTMLElement} holder
 * @param {Holder} bench
 * @param {ToolsDo} does
 */
export function tools(holder, bench, does) {
  const shown = Object.fromEntries(PARTS.map(([part, , on]) => [part, on]));
  const stands = STANDS.map(([stand, words], n) => button(words, () => go(n), { 'data-stand': stand, title: `From the ${words.toLowerCase()} (${n + 1})` }));
  const go = (/** @type {number} */ n) => does.stand(STANDS[n][0]);

  const parts = PARTS.map(([part, words]) => {
    const box = el('input', { type: 'checkbox', 'data-part': part, onchange: () => show(part, box.checked) });
    box.checked = shown[part];
    return { part, box, line: el('label', { class: 'cage-check' }, box, words) };
  });
  /** @param {string} part @param {boolean} on */
  const show = (part, on) => {
    shown[part] = on;
    for (const one of parts) if (one.part === part) one.box.checked = on;
    does.parts({ ...shown });
  };
  const section = sectionTool(bench, does.section);
  const adding = button('Add a bar', does.add, { 'data-do': 'add', title: 'Add a bar (A)' });
  const more = menu('Add …', MAKES.map(([what, words]) => button(words, () => { more.open = false; does.make(what); }, { 'data-make': what })), 'cage-menu-right');
  const measuring = button('Distance', does.measure, { 'data-do': 'measure', title: 'Distance between two picks (D)' });
  bench.on(['doing'], ({ doing }) => {
    adding.setAttribute('aria-pressed', String(doing === 'add'));
    measuring.setAttribute('aria-pressed', String(doing === 'measure'));
  });
  fill(holder,
    el('span', { class: 'cage-group', role: 'group', 'aria-label': 'Look from' }, stands),
    button('Fit', does.fit, { title: 'All of it, or what is chosen (F)', 'data-do': 'fit' }),
    menu('Show', [...parts.map((one) => one.line), el('label', { class: 'cage-apart' }, 'Tubes apart', el('input', { type: 'range', min: '0', max: '1', step: '0.05', value: '0', 'data-apart': '', oninput: (/** @type {any} */ event) => does.apart(Number(event.target.value)) }))]),
    menu('Section', [section.holder], 'cage-menu-inline'),
    el('span', { class: 'cage-group cage-group-do' }, adding, measuring), more);
  does.parts({ ...shown });
  return {
    go,
    /** @param {string} part */
    toggle: (part) => show(part, !shown[part]),
    section,
  };
}

/** What else can be added. @type {[string, string][]} */
const MAKES = [['list', 'A bar by its bending list'], ['foot', 'A foot'], ['gusset', 'A gusset'], ['plate', 'A plate']];

/** A button with a small sheet under it. @param {string} words @param {import('./dom.js').Child[]} inside @param {string} [more] */
function menu(words, inside, more = '') {
  const made = el('details', { class: `cage-menu ${more}` }, el('summary', { text: words }), el('div', { class: 'cage-menu-sheet' }, inside));
  document.addEventListener('pointerdown', (event) => {
    if (made.open && !made.contains(/** @type {Node} */ (event.target)) && words !== 'Section') made.open = false;
  });
  made.addEventListener('keydown', (event) => {
    if (event.key !== 'Escape' || !made.open) return;
    event.stopPropagation();
    made.open = false;
    made.querySelector('summary')?.focus();
  });
  return made;
}

/** @param {Holder} bench @param {(cut: import('../shapes').Cut) => void} act */
function sectionTool(bench, act) {
  let axis = /** @type {0|1|2|null} */ (null);
  const slider = el('input', { type: 'range', step: '1', 'aria-label': 'Where the section is', oninput: () => cut() });
  const typed = el('input', { type: 'text', inputmode: 'decimal', 'aria-label': 'Where the section is, as a number', class: 'cage-number' });
  const words = el('output', {});
  const which = choice([['', 'no section'], ['0', 'cut so far back'], ['1', 'cut so far across'], ['2', 'cut at a height']], '', (value) => set(value === '' ? null : /** @type {0|1|2} */ (Number(value))), { 'aria-label': 'Section', 'data-section': '' });
  const rest = el('div', { class: 'cage-section', hidden: true }, slider, typed, words);

  /** @param {0|1|2|null} next */
  const set = (next) => {
    axis = next;
    which.value = next === null ? '' : String(next);
    rest.hidden = next === null;
    if (axis === null) return act(null);
    const [low, high] = bench.now.scene.box;
    slider.min = String(Math.floor(low[axis]) - 60);
    slider.max = String(Math.ceil(high[axis]) + 60);
    slider.value = String(Math.round((low[axis] + high[axis]) / 2));
    cut();
  };
  const cut = () => {
    if (axis === null) return;
    const at = Number(slider.value);
    typed.value = fieldLength(at, bench.now.scene.units);
    words.textContent = `${AXES[axis]} ${shortLength(at, bench.now.scene.units)}`;
    act({ axis, at });
  };
  typed.addEventListener('change', () => {
    const mm = parseLength(typed.value, bench.now.scene.units);
    if (mm !== null) slider.value = String(mm);
    cut();
  });
  return {
    holder: el('div', {}, which, rest),
    /** The next of: none, back, across, up. */
    next: () => set(axis === null ? 0 : axis === 2 ? null : /** @type {1|2} */ (axis + 1)),
    /** @param {number} by mm */
    move: (by) => {
      slider.value = String(Number(slider.value) + by);
      cut();
    },
    on: () => axis !== null,
  };
}
