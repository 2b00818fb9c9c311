/** Adding a bar: its places picked in the picture or chosen here, seen before it is made. */

import { parseLength, shortLength } from '../numbers.js';
import { button, choice, el, field } from './dom.js';
import { numberField } from './number_field.js';
import { redraw } from './panel.js';
import { seatSelect } from './place_rows.js';
import { lengthOf, middle, nearest, passes, placeAt, placeOn, pointAt } from './reach.js';
import { ROLES } from '../vocabulary.js';
import { AXES, MEASURES, sayName, tapeLength } from './words.js';
import { freshList, isWhole, listFields, wordsOf } from './bend_list.js';
import { tubesOf } from './chosen.js';

/** @typedef {import('./types.js').Point} Point */
/** @typedef {import('./types.js').Scene} Scene */
/** @typedef {import('./bench.js').Holder} Holder */
/** @typedef {import('./reach.js').PlanPlace} PlanPlace */

/** How near a pick must be to a foot to mean the foot, mm. */
const FOOT_REACH = 70;

/** @typedef {import('./bend_list.js').BendList} BendList */
/** @typedef {{path: PlanPlace[], list: BendList|null, role: string, tube: string, name: string, mirror: boolean, in_two: boolean}} Draft */

/** @returns {Draft} */
const fresh = () => ({ path: [], list: null, role: 'cage reinforcement', tube: '', name: '', mirror: false, in_two: false });

/**
 * @param {HTMLElement} holder
 * @param {Holder} bench
 * @param {import('./chosen.js').Does} does
 * @param {(points: Point[]) => void} spots marks the first place while there is no bar to see
 */
export function addBar(holder, bench, does, spots) {
  let draft = fresh();
  let wrong = '';
  let making = false;

  const asked = () => {
    const { name, tube, mirror, in_two, role, path, list } = draft;
    if (list) return { draw: { start: path[0], ...wordsOf(list), role, ...(name ? { name } : {}), ...(tube ? { tube } : {}), both_sides: mirror, in_two } };
    const bar = { role, path, ...(tube ? { tube } : {}) };
    return { add: { ...(name ? { members: { [name]: bar } } : { unnamed: [bar] }), both_sides: mirror, in_two } };
  };
  /** @param {Partial<Draft>} what */
  const change = (what) => {
    draft = { ...draft, ...what };
    wrong = '';
    if (ready()) does.attempt(asked());
    else does.leave();
    draw();
  };
  const ready = () => (draft.list ? draft.path.length === 1 && isWhole(draft.list) : draft.path.length > 1);
  /** @param {number} n @param {PlanPlace} place */
  const put = (n, place) => change({ path: draft.path.map((old, m) => (m === n ? place : old)) });

  const make = async () => {
    const before = bench.now.scene.members.map((m) => m.name);
    making = true;
    const done = await does.edit(asked());
    making = false;
    if (!done) return;
    const made = bench.now.scene.members.filter((m) => !before.includes(m.name));
    stop();
    bench.choose({ members: made.slice(0, 1).map((m) => m.name) });
  };
  const stop = () => {
    draft = fresh();
    spots([]);
    does.leave();
    bench.set({ doing: 'look' }, 'doing', 'chosen');
  };

  const draw = () => {
    if (bench.now.doing !== 'add') return;
    const { scene } = bench.now;
    redraw(holder,
      el('header', { class: 'cage-chosen-head' }, el('h2', { text: draft.list ? 'A bar by its bending list' : 'Add a bar' })),
      el('ol', { class: 'cage-places' }, draft.path.map((place, n) => row(bench, place, n, draft.path.length, put, (at) => change({ path: draft.path.filter((_, m) => m !== at) })))),
      draft.list ? listFields(draft.list, scene, (list) => change({ list })) : null,
      draft.list && draft.path.length ? null : seatSelect(bench, { label: draft.path.length ? 'Another place' : 'First place', key: 'next', chosen: '', first: draft.path.length ? 'another place …' : 'first place …' }, (seat) => change({ path: [...draft.path, placeAt(scene, seat, middleOf(scene, seat))] })),
      el('div', { class: 'cage-what' },
        field('Role', choice(ROLES.map((r) => [r, r]), draft.role, (role) => change({ role }), { 'data-key': 'role' })),
        field('Tube', choice([['', usual(bench, draft.role)], ...tubesOf(bench)], draft.tube, (tube) => change({ tube }), { 'data-key': 'tube' })),
        field('Name', nameField(draft, (name) => change({ name })))),
      check('The same on the other side', draft.mirror, 'mirror', (mirror) => change({ mirror })),
      check('In two where it runs through another tube', draft.in_two, 'in two', (in_two) => change({ in_two })),
      el('div', { class: 'cage-make' },
        el('p', { class: wrong ? 'wrong-words' : 'quiet', role: 'status', text: wrong || seen(bench) || (draft.list ? 'Pick where it begins, then fill in the list.' : hint(draft.path.length)) }),
        el('div', { class: 'cage-actions' }, button('Make it', () => void make(), { class: 'main', disabled: !ready(), 'data-key': 'make' }), button('Cancel', stop, { 'data-key': 'cancel' }))));
    spots(draft.path.length === 1 ? draft.path.map((place) => spotOf(scene, place)) : []);
  };

  bench.on(['doing', 'trial', 'choices'], draw);
  bench.on(['scene'], () => {
    if (bench.now.doing !== 'add' || making) return;
    if (ready()) does.attempt(asked()); // the cage has changed elsewhere: see the bar in it as it is now
    draw();
  });

  return {
    /** Start, from a tube where one is given. @param {import('./types.js').Member|null} [member] */
    start(member) {
      draft = fresh();
      wrong = '';
      bench.set({ doing: 'add' }, 'doing');
      if (member) change({ path: [placeOn(member, middle(member.axis), bench.now.scene.units)], tube: member.tube, role: member.role });
      holder.querySelector('select')?.focus();
    },
    stop,
    /** By straights, turns and angles from one place on. */
    byList() {
      this.start(null);
      change({ list: freshList() });
    },
    /**
     * A pick in the picture is the next place; beside every tube it is a bend in the open, as far away as the last place.
     * @param {{member?: string, joint?: string, point: Point}|null} pick
     * @param {(near: Point) => Point|null} pressed
     */
    pick(pick, pressed) {
      const { scene } = bench.now;
      const last = draft.path[draft.path.length - 1];
      const open = !pick && last ? pressed(spotOf(scene, last)) : null;
      const place = pick ? placeOf(scene, pick) : open && { at: open.map((mm) => tapeLength(mm, scene.units)) };
      if (place) change({ path: draft.list ? [place] : [...draft.path, place] });
    },
    /** @param {string} words what a trial was refused for */
    refused(words) {
      if (bench.now.doing !== 'add') return;
      wrong = words;
      draw();
    },
  };
}

/** The tube that is taken where none is chosen, in words. @param {Holder} bench @param {string} role */
function usual(bench, role) {
  const tube = bench.now.choices.roles.find((r) => r.role === role)?.tube;
  return tube ? `usual: ${tube}` : 'the usual one';
}

/** @param {number} n */
const hint = (n) => ['Pick the first place in the picture, or choose it here.', 'Pick the second place.'][n] ?? 'It is drawn in the picture. Pick further places, or make it.';

/** What is seen in the picture and not made yet, in words. @param {Holder} bench */
function seen(bench) {
  const made = (bench.now.trial?.changed.members ?? []).filter((m) => !bench.member(m.name));
  return made.length ? `Seen, not made yet: ${made.map((m) => `${sayName(m.name)}, ${shortLength(m.length, bench.now.scene.units)} long`).join(', ')}.` : '';
}

/** @param {Scene} scene @param {string} seat @returns {Point} */
function middleOf(scene, seat) {
  const [kind, name] = seat.split(' ');
  const member = kind === 'member' && scene.members.find((m) => m.name === name);
  if (member) return middle(member.axis);
  const [low, high] = scene.box;
  return [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2];
}

/**
 * The place of the plan that a pick means: a foot close by, the tube, or nothing.
 * @param {Scene} scene
 * @param {{member?: string, joint?: string, foot?: string, point: Point}} pick
 * @returns {PlanPlace|null}
 */
export function placeOf(scene, pick) {
  const foot = pick.foot ?? scene.feet.find((f) => Math.hypot(...f.point.map((v, n) => v - pick.point[n])) < FOOT_REACH)?.name;
  if (foot && !pick.member) return { foot };
  const joint = scene.joints.find((j) => j.name === pick.joint);
  const name = joint ? joint.mains[0] : pick.member;
  const member = scene.members.find((m) => m.name === name);
  return member ? placeOn(member, joint?.point ?? nearest(member.axis, pick.point).point, scene.units) : null;
}

/**
 * @param {Holder} bench @param {PlanPlace} place @param {number} n @param {number} many
 * @param {(n: number, place: PlanPlace) => void} put @param {(n: number) => void} drop
 */
function row(bench, place, n, many, put, drop) {
  const { scene } = bench.now;
  const title = n === 0 ? 'Start' : n === many - 1 ? 'End' : `Bend ${n}`;
  const kind = place.on ? 'member' : place.foot ? 'foot' : place.point ? 'point' : 'coordinates';
  const seat = `${kind} ${place.on ?? place.foot ?? place.point ?? ''}`;
  return el('li', { class: 'cage-place' }, el('b', { class: 'cage-place-pick', text: title }),
    seatSelect(bench, { label: `${title} sits on`, key: `seat ${n}`, chosen: seat }, (next) => put(n, placeAt(scene, next, middleOf(scene, next)))),
    el('span', { class: kind === 'member' ? 'cage-on-tube' : 'cage-three' }, kind === 'member' ? onTube(scene, place, n, put) : kind === 'coordinates' ? threeNumbers(scene, place, n, put) : null),
    button('✗', () => drop(n), { class: 'cage-drop', 'aria-label': `Leave out ${title}` }));
}

/** @param {Scene} scene @param {PlanPlace} place @param {number} n @param {(n: number, place: PlanPlace) => void} put */
function onTube(scene, place, n, put) {
  const measure = MEASURES.find(([m]) => place[m] !== undefined)?.[0] ?? 'up';
  const member = scene.members.find((m) => m.name === place.on);
  const sides = (/** @type {number|string} */ value) => sidesOf(member, measure, mmOf(value, scene));
  const set = (/** @type {number|string} */ value) => put(n, { ...without(place, 'side'), [measure]: value, ...(sides(value).length > 1 ? { side: place.side ?? sides(value)[0] } : {}) });
  const both = sides(place[measure]);
  return [
    choice(MEASURES.map(([m, words]) => [m, words]), measure, (next) => member && put(n, placeOn(member, middle(member.axis), scene.units, next)), { class: 'cage-measure', 'aria-label': 'Measured', 'data-key': `measure ${n}` }),
    numberField({ label: `${measure} on ${place.on}`, key: `number ${n}`, value: mmOf(place[measure], scene), units: scene.units, bare: measure === 'part', onTry: set, onSet: set }),
    both.length > 1 ? choice([['left', 'left'], ['right', 'right']], place.side ?? both[0], (side) => put(n, { ...place, side }), { class: 'cage-side', 'aria-label': 'Which side', 'data-key': `side ${n}` }) : null,
  ];
}

/** The sides on which a tube has that measure, where it has it on both. @param {import('./types.js').Member|undefined} member @param {string} measure @param {number} mm */
function sidesOf(member, measure, mm) {
  const n = AXES.indexOf(/** @type {'up'} */ (measure));
  if (!member || n < 0 || n === 1) return [];
  return [...new Set(passes(member.axis, n, mm).map((p) => (p[1] < 0 ? 'left' : 'right')))];
}

/** @param {PlanPlace} place @param {string} key @returns {PlanPlace} */
const without = (place, key) => Object.fromEntries(Object.entries(place).filter(([one]) => one !== key));

/** @param {Scene} scene @param {PlanPlace} place @param {number} n @param {(n: number, place: PlanPlace) => void} put */
function threeNumbers(scene, place, n, put) {
  return AXES.map((axis, a) => {
    const set = (/** @type {number|string} */ value) => put(n, { at: place.at.map((/** @type {any} */ old, /** @type {number} */ b) => (a === b ? value : old)) });
    return el('label', { class: 'cage-axis' }, el('span', { text: axis }), numberField({ label: axis, key: `number ${n} ${axis}`, value: mmOf(place.at[a], scene), units: scene.units, onTry: set, onSet: set }));
  });
}

/** Where a place is, as near as the page knows. @param {Scene} scene @param {PlanPlace} place @returns {Point} */
function spotOf(scene, place) {
  if (place.at) return /** @type {Point} */ (place.at.map((/** @type {any} */ value) => mmOf(value, scene)));
  const foot = scene.feet.find((f) => f.name === place.foot);
  const member = scene.members.find((m) => m.name === place.on);
  if (!member) return foot?.point ?? scene.members.flatMap((m) => m.places).find((p) => p.point === place.point)?.at ?? scene.box[0];
  const total = lengthOf(member.axis);
  if (place.along !== undefined || place.part !== undefined) return pointAt(member.axis, place.part === undefined ? mmOf(place.along, scene) : total * place.part);
  const n = AXES.findIndex((axis) => place[axis] !== undefined);
  const fits = passes(member.axis, n, mmOf(place[AXES[n]], scene));
  return fits.find((p) => !place.side || p[1] < 0 === (place.side === 'left')) ?? middle(member.axis);
}

/** @param {number|string} value as the plan has it @param {Scene} scene @returns {number} mm */
const mmOf = (value, scene) => parseLength(String(value), scene.units) ?? 0;

/** @param {Draft} draft @param {(name: string) => void} act */
function nameField(draft, act) {
  const made = el('input', { type: 'text', value: draft.name, placeholder: 'made from its role', maxlength: 60, 'data-key': 'name' });
  made.addEventListener('change', () => act(made.value.trim()));
  return made;
}

/** @param {string} words @param {boolean} on @param {string} key @param {(on: boolean) => void} act */
function check(words, on, key, act) {
  const box = el('input', { type: 'checkbox', 'data-key': key, onchange: () => act(box.checked) });
  box.checked = on;
  return el('label', { class: 'cage-check' }, box, words);
}
