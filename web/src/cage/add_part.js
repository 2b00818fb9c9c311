/** Adding a foot, a plate or a gusset: picked and typed, seen before it is made. */

import { GUSSET_KINDS, SEATS } from '../vocabulary.js';
import { button, choice, el, field } from './dom.js';
import { numberField } from './number_field.js';
import { redraw } from './panel.js';
import { seatSelect } from './place_rows.js';
import { middle, nearest, placeAt } from './reach.js';
import { AXES, planLength, sayName } from './words.js';

/** @typedef {import('./types.js').Point} Point */
/** @typedef {import('./bench.js').Holder} Holder */
/** @typedef {'foot'|'plate'|'gusset'} Kind */

/** Sections of the plan that hold each. @type {Record<Kind, 'feet'|'plates'|'gussets'>} */
const SECTION = { foot: 'feet', plate: 'plates', gusset: 'gussets' };
const TITLES = { foot: 'Add a foot', plate: 'Add a plate', gusset: 'Add a gusset' };
/** Usual sizes to start from (common practice, no source). */
const USUAL = { plate: [120, 100, 3], thickness: 3, leg: 80, gusset: 2 };

/** @typedef {{kind: Kind, name: string, both: boolean, at: any[], on: string, plate: any[], thickness: any, leg: any, made: string, between: string[], near: Point|null, corners: any[], stand: {member: string, index: number}|null, of: string}} Draft */

/**
 * @param {HTMLElement} holder
 * @param {Holder} bench
 * @param {import('./chosen.js').Does} does
 */
export function addPart(holder, bench, does) {
  /** @type {Draft} */
  let draft = fresh(bench, 'foot');
  let wrong = '';

  const ready = () => (draft.kind === 'foot' ? true : draft.kind === 'gusset' ? draft.between.length === 2 : draft.corners.length > 2);
  /** @param {Partial<Draft>} what */
  const change = (what) => {
    draft = { ...draft, ...what };
    wrong = '';
    if (ready()) does.attempt(asked(bench, draft));
    else does.leave();
    draw();
  };
  const stop = () => {
    does.leave();
    bench.set({ doing: 'look' }, 'doing', 'chosen');
  };
  const make = async () => {
    const { kind, stand, of } = draft;
    const name = of || draft.name || nameFor(bench, draft);
    const stroke = `part ${Date.now()}`;
    if (!(await does.edit({ ...asked(bench, draft), stroke }))) return;
    if (stand) await does.edit({ move: { members: stand.member, places: stand.index + 1, to: { foot: name } }, stroke });
    stop();
    bench.choose({ [SECTION[kind]]: [name] });
  };

  const draw = () => {
    if (bench.now.doing !== 'part') return;
    const { kind } = draft;
    redraw(holder,
      el('header', { class: 'cage-chosen-head' }, el('h2', { text: draft.of ? `Corners of ${sayName(draft.of)}` : TITLES[kind] })),
      kind === 'foot' ? footPart() : kind === 'gusset' ? gussetPart() : platePart(),
      draft.of ? null : el('div', { class: 'cage-what' }, field('Name', nameField())),
      draft.of ? null : check('The same on the other side', draft.both, (both) => change({ both })),
      el('div', { class: 'cage-make' },
        el('p', { class: wrong ? 'wrong-words' : 'quiet', role: 'status', text: wrong || hint() }),
        el('div', { class: 'cage-actions' }, button(draft.of ? 'Set them' : 'Make it', () => void make(), { class: 'main', disabled: !ready(), 'data-key': 'make' }), button('Cancel', stop, { 'data-key': 'cancel' }))));
  };
  const hint = () => {
    if (draft.kind === 'foot') return draft.stand ? 'It is put under the end of the tube. See it in the picture, then make it.' : 'Pick where it stands, or type it.';
    if (draft.kind === 'gusset') return draft.between.length === 2 ? 'It is drawn in the picture. Make it, or pick again.' : 'Pick the two tubes that it goes between, near their corner.';
    return `Pick its corners in the picture in order, three or more: ${draft.corners.length} so far.`;
  };
  const length = (/** @type {string} */ label, /** @type {any} */ value, /** @type {(typed: any) => Partial<Draft>} */ what) => field(label, numberField({
    label, key: label, value: typeof value === 'number' ? value : 0, units: bench.now.scene.units, onTry: (typed) => change(what(typed)), onSet: (typed) => change(what(typed)),
  }));
  const footPart = () => el('div', {},
    el('div', { class: 'cage-three' }, AXES.map((axis, n) => length(axis, draft.at[n], (typed) => ({ at: draft.at.map((old, m) => (m === n ? typed : old)) })))),
    el('div', { class: 'cage-what' }, field('Stands on', choice(SEATS.map((s) => [s, s]), draft.on, (on) => change({ on }), { 'data-key': 'on' })),
      ['Plate, back', 'Plate, across', 'Plate, thickness'].map((label, n) => length(label, draft.plate[n], (typed) => ({ plate: draft.plate.map((old, m) => (m === n ? typed : old)) })))));
  const gussetPart = () => el('div', { class: 'cage-what' },
    [0, 1].map((n) => field(n ? 'And' : 'Between', choice([['', 'pick a tube …'], ...bench.now.scene.members.map((m) => /** @type {[string, string]} */ ([m.name, sayName(m.name)]))], draft.between[n] ?? '',
      (name) => change({ between: n ? [draft.between[0] ?? name, name] : [name, ...draft.between.slice(1)], near: null }), { 'data-key': `between ${n}` }))),
    length('Leg', draft.leg, (leg) => ({ leg })), length('Thickness', draft.thickness, (thickness) => ({ thickness })),
    field('Made', choice(GUSSET_KINDS.map((k) => [k, k]), draft.made, (made) => change({ made }), { 'data-key': 'made' })));
  const platePart = () => el('div', {},
    el('ol', { class: 'cage-places' }, draft.corners.map((place, n) => el('li', { class: 'cage-place' }, el('b', { text: `Corner ${n + 1}` }), el('span', { text: placeWords(place) }),
      button('✗', () => change({ corners: draft.corners.filter((_, m) => m !== n) }), { class: 'cage-drop', 'aria-label': `Leave out corner ${n + 1}` })))),
    seatSelect(bench, { label: 'Another corner', key: 'next', chosen: '', first: 'another corner …', inside: true }, (seat) => change({ corners: [...draft.corners, placeAt(bench.now.scene, seat, middleFor(bench, seat))] })),
    draft.of ? null : el('div', { class: 'cage-what' }, length('Thickness', draft.thickness, (thickness) => ({ thickness }))));
  const nameField = () => {
    const made = el('input', { type: 'text', value: draft.name, placeholder: sayName(nameFor(bench, draft)), maxlength: 60, 'data-key': 'name' });
    made.addEventListener('change', () => change({ name: made.value.trim().replaceAll(' ', '_') }));
    return made;
  };

  bench.on(['doing', 'trial', 'choices', 'scene'], draw);
  return {
    /** @param {Kind} kind @param {Partial<Draft>} [what] */
    start(kind, what = {}) {
      draft = { ...fresh(bench, kind), ...what };
      wrong = '';
      bench.set({ doing: 'part' }, 'doing');
      change({});
      /** @type {HTMLElement|null} */ (holder.querySelector('input, select'))?.focus();
    },
    stop,
    /** @param {{member?: string, joint?: string, foot?: string, point: Point}} pick */
    pick(pick) {
      const member = bench.now.scene.members.find((m) => m.name === pick.member);
      if (draft.kind === 'foot') {
        const end = member && nearEnd(member, pick.point);
        return change({ at: (end ?? pick.point).map((mm) => planLength(Math.round(mm), bench.now.scene.units)) });
      }
      if (!member) return;
      if (draft.kind === 'plate') return change({ corners: [...draft.corners, placeAt(bench.now.scene, `member ${member.name}`, nearest(member.axis, pick.point).point)] });
      const between = draft.between.length > 1 ? [member.name] : [...draft.between.filter((n) => n !== member.name), member.name];
      change({ between, near: /** @type {Point} */ (pick.point.map((mm) => Math.round(mm))) });
    },
    /** @param {string} words */
    refused(words) {
      wrong = words;
      draw();
    },
  };
}

/** @param {Holder} bench @param {Kind} kind @returns {Draft} */
function fresh(bench, kind) {
  const { box, units } = bench.now.scene;
  const mm = (/** @type {number} */ one) => (units === 'mm' ? one : Math.round(one / 3.175) * 3.175);
  const at = [(box[0][0] + box[1][0]) / 2, box[0][1], box[0][2]].map((one) => planLength(Math.round(one), units));
  return {
    kind, name: '', both: false, at, on: 'floor', plate: USUAL.plate.map((one) => planLength(mm(one), units)),
    thickness: planLength(mm(kind === 'gusset' ? USUAL.gusset : USUAL.thickness), units), leg: planLength(mm(USUAL.leg), units), made: GUSSET_KINDS[0], between: [], near: null, corners: [], stand: null, of: '',
  };
}

/** @param {Holder} bench @param {Draft} draft @returns {Record<string, any>} */
function asked(bench, draft) {
  const { kind, at, on, plate, thickness, leg, made, between, near, corners, both, of } = draft;
  if (of) return { plate: { name: of, corners } };
  const name = draft.name || nameFor(bench, draft);
  const mirror = both ? { mirror: kind === 'gusset' ? true : otherSide(name) } : {};
  const entry = { foot: { at, on, plate }, plate: { corners, thickness }, gusset: { between, leg, thickness, kind: made, ...(near ? { near } : {}) } }[kind];
  return { add: { [SECTION[kind]]: { [name]: { ...entry, ...mirror } } } };
}

/** A free name by what it is, and its side where there are two. @param {Holder} bench @param {Draft} draft */
function nameFor(bench, { kind, both, at }) {
  const taken = bench.now.choices.names[SECTION[kind]];
  const side = both && kind !== 'gusset' ? (parseFloat(String(at[1])) > 0 ? '_right' : '_left') : '';
  for (let n = 1; ; n += 1) if (!taken.includes(`${kind}_${n}${side}`) && !taken.includes(otherSide(`${kind}_${n}${side}`))) return `${kind}_${n}${side}`;
}

/** @param {string} name */
const otherSide = (name) => (/_(left|right)$/.test(name) ? name.replace(/_(left|right)$/, (_, side) => (side === 'left' ? '_right' : '_left')) : `${name}_mirror`);

/** How near a pick must be to an end to mean the end, mm. */
const END_REACH = 90;

/** @param {import('./types.js').Member} member @param {Point} point @returns {Point|null} */
function nearEnd(member, point) {
  const ends = [member.axis[0], member.axis[member.axis.length - 1]];
  return ends.find((end) => Math.hypot(...end.map((v, n) => v - point[n])) < END_REACH) ?? null;
}

/** @param {Holder} bench @param {string} seat @returns {Point} */
function middleFor(bench, seat) {
  const member = bench.member(seat.split(' ')[1]);
  const [low, high] = bench.now.scene.box;
  return member ? middle(member.axis) : [(low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2];
}

/** @param {any} place */
function placeWords(place) {
  if (!place.on) return place.at ? place.at.join(', ') : sayName(place.point ?? '');
  const [measure, value] = Object.entries(place).find(([key]) => !['on', 'side', 'near'].includes(key)) ?? ['', ''];
  return `${sayName(place.on)}, ${measure} ${value}${place.side ? `, ${place.side}` : ''}`;
}

/** @param {string} words @param {boolean} on @param {(on: boolean) => void} act */
function check(words, on, act) {
  const box = el('input', { type: 'checkbox', 'data-key': 'both', onchange: () => act(box.checked) });
  box.checked = on;
  return el('label', { class: 'cage-check' }, box, words);
}
