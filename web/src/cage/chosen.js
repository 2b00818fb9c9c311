/** The panel for what is chosen: a tube with its places as fields, a joint, a foot, or several tubes. */

import { fieldLength, parseLength, sayLength, sayMass, shortLength } from '../numbers.js';
import { button, choice, el, field } from './dom.js';
import { numberField, keypad } from './number_field.js';
import { addBend } from './bend_tools.js';
import { redraw } from './panel.js';
import { placeRows, showLive } from './place_rows.js';
import { saveTemplate } from './template_file.js';
import { withTwins } from './rests.js';
import { footFields, gussetPanel, platePanel } from './sheets.js';
import { moveWhole, otherHalf } from './together.js';
import { AXES, LOOKED_AT, planLength, sayName, sayPoint, signOf, tubeSize } from './words.js';
import { FACINGS, ROLES } from '../vocabulary.js';

/** @typedef {import('./types.js').Member} Member */
/** @typedef {import('./types.js').Scene} Scene */
/** @typedef {import('./types.js').Foot} Foot */
/** @typedef {import('./types.js').Joint} Joint */
/** @typedef {import('./bench.js').Holder} Holder */

/**
 * @typedef {object} Does what the panel can have done
 * @property {(edit: Record<string, any>) => Promise<boolean>} edit
 * @property {(edit: Record<string, any>) => void} attempt
 * @property {() => void} leave
 * @property {(names: string[]) => void} remove
 * @property {(member: Member) => void} split
 * @property {(member: Member) => void} add
 * @property {(axis: string) => void} turn the handle drags this way, where the place sits on no tube
 * @property {(kind: 'foot'|'plate'|'gusset', what?: Record<string, any>) => void} part add one, or pick its corners anew
 */

/**
 * @param {HTMLElement} holder
 * @param {Holder} bench
 * @param {Does} does
 */
export function chosenPanel(holder, bench, does) {
  let oneSide = false;

  const draw = () => {
    if (bench.now.doing !== 'look') return;
    const { members, joints, feet, plates, gussets } = bench.now.chosen;
    if (members.length > 1) redraw(holder, ...several(bench, does));
    else if (bench.only()) redraw(holder, ...tube(/** @type {Member} */ (bench.only())));
    else if (joints.length) redraw(holder, ...joint(bench, joints[0], acts, does));
    else if (feet.length) redraw(holder, ...foot(bench, feet[0], does));
    else if (plates.length) redraw(holder, ...platePanel(bench, plates[0], does, () => does.part('plate', { of: plates[0] })));
    else if (gussets.length) redraw(holder, ...gussetPanel(bench, gussets[0], does));
    else redraw(holder, ...nothing());
  };

  /** @param {Member} member */
  const tube = (member) => [
    heading(sayName(member.name), member.role),
    facts(bench.now.scene, member),
    placeRows(bench, member, bench.now.chosen.place, acts(member)),
    twin(bench.now.scene, member),
    el('div', { class: 'cage-actions' }, addBend(bench, member, acts(member))),
    moveWhole(bench, [member], does),
    actions(bench.now.scene, member, does),
    papers(bench.now.scene, member),
    el('h3', { text: 'What it is' }),
    whatItIs(bench, member, does),
    findings(bench, [member.name]),
  ];

  /** @param {Member} member */
  const acts = (member) => ({
    onTry: does.attempt,
    onSet: (/** @type {Record<string, any>} */ edit) => void does.edit(edit),
    onLeave: does.leave,
    onHandle: (/** @type {number} */ place, /** @type {string} */ axis = '') => {
      if (bench.only() && place !== bench.now.chosen.place) bench.choose({ members: [member.name], place });
      does.turn(axis);
    },
    onNewFoot: (/** @type {number} */ index) => does.part('foot', { stand: { member: member.name, index }, at: member.places[index].at.map((mm) => planLength(Math.round(mm), bench.now.scene.units)) }),
    oneSide,
  });

  /** @param {Scene} scene @param {Member} member */
  const twin = (scene, member) => {
    const other = withTwins(scene, [member.name]).find((name) => name !== member.name);
    if (!other) return null;
    const box = el('input', { type: 'checkbox', 'data-key': 'one side', onchange: () => { oneSide = box.checked; draw(); } });
    box.checked = oneSide;
    return el('label', { class: 'cage-check' }, box, `This side only (${sayName(other)} stays as it is)`);
  };

  bench.on(['chosen', 'doing'], () => {
    if (bench.now.chosen.members.length !== 1) oneSide = false;
    draw();
  });
  bench.on(['scene', 'choices'], draw);
  bench.on(['figures'], () => {
    const about = holder.querySelector('.cage-about');
    about?.replaceWith(findings(bench, namesOf(bench)));
  });
  bench.on(['trial'], () => {
    const joint = bench.now.scene.joints.find((j) => j.name === bench.now.chosen.joints[0]);
    const only = bench.only() ?? (joint ? bench.member(joint.branch) : null);
    const live = only && bench.shown(only.name);
    if (live) showLive(holder, bench.now.scene, live);
  });
  draw();
}

/** @param {string} name @param {string} words */
const heading = (name, words) => el('header', { class: 'cage-chosen-head' }, el('h2', { text: name }), el('p', { text: words }));

function nothing() {
  return [
    el('h2', { text: 'Nothing chosen' }),
    el('p', { text: 'Pick a tube, a joint or a foot in the picture or in the table, and change it here. Shift picks several; ? lists the keys.' }),
  ];
}

/** Its size, cut length, mass and bends in a line. @param {Scene} scene @param {Member} member */
function facts(scene, member) {
  const { units } = scene;
  const bends = member.bends.length ? `bends ${member.bends.map((b) => `${b.angle_deg.toFixed(1)}°`).join(', ')} at radius ${shortLength(member.bends[0].clr, units)}` : 'no bend';
  const all = [`${tubeSize(member.od, member.wall, units)} ${member.steel ?? ''}`, `cut length ${sayLength(member.length, units)}`, sayMass(member.mass, units), bends];
  return el('p', { class: 'cage-facts-line' }, all.filter(Boolean).map((words) => el('span', { text: words })));
}

/** @param {Holder} bench @param {Member} member @param {Does} does */
function whatItIs(bench, member, does) {
  return el('div', { class: 'cage-what' },
    field('Name', words(sayName(member.name), 'name', (name) => does.edit({ rename: { member: member.name, to: name } }))),
    field('Role', choice(ROLES.map((r) => [r, r]), member.role, (role) => void does.edit({ role: { members: member.name, role } }), { 'data-key': 'role' })),
    field('Tube', tubeChoice(bench, [member], does)),
    field('Note', words(member.note ?? '', 'note', (note) => does.edit({ note: { name: member.name, note } }))),
    otherSize(bench, [member], does),
  );
}

/**
 * A field for a line of words, done on Enter or when it is left.
 * @param {string} value
 * @param {string} key
 * @param {(words: string) => Promise<boolean>} act
 */
function words(value, key, act) {
  const made = el('input', { type: 'text', value, maxlength: 400, autocomplete: 'off', 'data-key': key });
  let asked = value;
  const set = async () => {
    const next = made.value.trim();
    if (next === asked) return;
    asked = next;
    delete made.dataset.typed;
    if (!(await act(next))) {
      asked = value;
      made.value = value;
    }
  };
  made.addEventListener('input', () => { made.dataset.typed = 'yes'; });
  made.addEventListener('blur', () => made.isConnected && void set());
  made.addEventListener('keydown', (event) => {
    if (event.key === 'Enter') void set();
    if (event.key === 'Escape' && made.value !== value) {
      event.stopPropagation();
      delete made.dataset.typed;
      made.value = value;
    }
  });
  return made;
}

/** The plan's tubes to choose from. @param {Holder} bench @returns {[string, string][]} */
export const tubesOf = (bench) => bench.now.choices.tubes.map((t) => [t.name, `${t.name}: ${t.words}`]);

/** @param {Holder} bench @param {Member[]} members @param {Does} does */
function tubeChoice(bench, members, does) {
  const same = members.every((m) => m.tube === members[0].tube) ? members[0].tube : '';
  const choices = tubesOf(bench);
  if (!same) choices.unshift(['', 'several']);
  return choice(choices, same, (tube) => tube && void does.edit({ size: { members: members.map((m) => m.name), tube } }), { 'data-key': 'tube' });
}

/** @param {Holder} bench @param {Member[]} members @param {Does} does */
function otherSize(bench, members, does) {
  const [{ od, wall, steel }] = members;
  const { scene: { units }, choices } = bench.now;
  const of = (/** @type {string} */ label, /** @type {number} */ mm) => el('input', { type: 'text', inputmode: keypad(units), value: String(planLength(mm, units)), 'aria-label': label, 'data-key': label });
  const [outside, sheet] = [of('Outside diameter', od), of('Wall', wall)];
  const metal = choice([...new Set([steel ?? '', ...choices.steels])].map((name) => [name, name]), steel ?? '', () => {}, { 'data-key': 'steel' });
  const sold = choice([['', 'a size the shop can buy …'], ...choices.sold.map((size, n) => /** @type {[string, string]} */ ([String(n), size.words]))], '', (n) => {
    const size = choices.sold[Number(n)];
    if (!size) return;
    [outside.value, sheet.value, metal.value] = [fieldLength(size.od, units), fieldLength(size.wall, units), size.steel];
  }, { 'aria-label': 'A size the shop can buy', 'data-key': 'sold' });
  const set = () => {
    const typed = [outside, sheet].map((one) => (parseLength(one.value, units) === null ? null : one.value.trim()));
    if (typed.includes(null)) return;
    void does.edit({ size: { members: members.map((m) => m.name), od: bare(typed[0]), wall: bare(typed[1]), ...(metal.value ? { steel: metal.value } : {}) } });
  };
  return el('details', { class: 'cage-size' }, el('summary', { text: 'Another size' }),
    el('div', { class: 'cage-what' }, choices.sold.length ? sold : null, field('Outside diameter', outside), field('Wall', sheet), field('Steel', metal), button('Set this size', set)));
}

/** @param {string|null} text a bare number as a number */
const bare = (text) => (text !== null && /^\d+(\.\d*)?$/.test(text) ? Number(text) : text);

/** @param {Scene} scene @param {Member} member @param {Does} does */
function actions(scene, member, does) {
  const twinned = withTwins(scene, [member.name]).length > 1;
  return el('div', { class: 'cage-actions', role: 'group', 'aria-label': 'What to do with it' },
    button('Mirror', () => void does.edit({ mirror: member.name }), { disabled: twinned, title: twinned ? 'It has its mirror already' : 'The same tube on the other side of the car' }),
    button('Split …', () => does.split(member)),
    button('Add a bar from here', () => does.add(member)),
    button('Remove …', () => does.remove([member.name]), { class: 'cage-danger', 'data-key': 'remove' }),
  );
}

/** What the shop gets for this tube. @param {Scene} scene @param {Member} member @param {string} [which] for this end alone */
function papers(scene, member, which = '') {
  const plan = encodeURIComponent(document.body.dataset.plan ?? '');
  const said = el('p', { class: 'quiet', role: 'status' });
  const template = (/** @type {string} */ which) => {
    const made = button(`Template, ${which}`, async () => {
      made.disabled = true;
      await saveTemplate(member.name, which, scene.units, (words) => { said.textContent = words; }).catch(() => {});
      made.disabled = false;
      said.textContent = '';
    }, { title: `Paper wrap for the ${which}, at true scale (PDF)`, 'data-template': which });
    return made;
  };
  return el('div', { class: 'cage-papers' }, el('h3', { text: 'For the bench' }),
    el('div', { class: 'cage-actions' }, ...member.ends.filter((end) => !which || end.which === which).map((end) => template(end.which)), el('a', { href: `/plans/${plan}/cut#${encodeURIComponent(`member:${member.name}`)}`, class: 'button' }, 'Cut & bend')), said);
}

/** What the findings in the panel are about. @param {Holder} bench */
function namesOf(bench) {
  const { members, joints, feet } = bench.now.chosen;
  return [...members, ...feet, ...joints.map((name) => name.split('.')[0])];
}

/** @param {import('./types.js').Finding} f @returns {string[]} */
const named = ({ where }) => [...where.members, ...where.feet, ...where.joints.map((j) => j.split('.')[0])];

/** The findings about these, worst first. @param {Holder} bench @param {string[]} names */
function findings(bench, names) {
  const about = bench.now.findings.filter((f) => LOOKED_AT.includes(f.verdict) && named(f).some((n) => names.includes(n)));
  return el('div', { class: 'cage-about' }, about.length ? el('h3', { text: 'Findings' }) : null,
    el('ul', {}, about.slice(0, 12).map((f) => el('li', {}, el('span', { class: 'cage-mark', 'data-kind': f.verdict, 'data-own': f.judge === 'own check' ? 'yes' : null, role: 'img', 'aria-label': f.said }, signOf(f)), el('span', {}, f.title, f.advice ? el('span', { class: 'cage-advice', text: f.advice }) : null)))),
    about.length > 12 ? el('p', { class: 'quiet', text: `and ${about.length - 12} more in the list of findings` }) : null);
}

/** @param {Holder} bench @param {Does} does */
function several(bench, does) {
  const { scene, chosen } = bench.now;
  const members = scene.members.filter((m) => chosen.members.includes(m.name));
  const mass = members.reduce((sum, m) => sum + m.mass, 0);
  return [
    heading(`${members.length} tubes`, sayMass(mass, scene.units)),
    el('ul', { class: 'cage-several' }, members.map((m) => el('li', { text: `${sayName(m.name)}, ${m.role}` }))),
    field('Tube', tubeChoice(bench, members, does)),
    otherSize(bench, members, does),
    moveWhole(bench, members, does),
    el('div', { class: 'cage-actions' },
      members.length === 2 ? [button('Gusset between them', () => does.part('gusset', { between: members.map((m) => m.name) }), { 'data-key': 'gusset' }), button('Make one of the two', () => void does.edit({ join: { names: members.map((m) => m.name) } }), { 'data-key': 'join', title: 'Two tubes that meet end to end' })] : null,
      button('Remove …', () => does.remove(members.map((m) => m.name)), { class: 'cage-danger' })),
    findings(bench, chosen.members),
  ];
}

/** @param {Holder} bench @param {string} name @param {(member: Member) => import('./place_rows.js').PlaceActs} acts @param {Does} does */
function joint(bench, name, acts, does) {
  const { scene } = bench.now;
  const found = scene.joints.find((j) => j.name === name);
  if (!found) return nothing();
  const branch = bench.member(found.branch);
  const place = branch && (found.which === 'start' ? 0 : branch.places.length - 1);
  return [
    heading(found.name.replace('.', ', ').replaceAll('_', ' '), 'joint'),
    el('p', { text: `The ${found.which} of ${sayName(found.branch)} is cut to ${found.mains.map(sayName).join(' and ')}, at ${sayPoint(found.point, scene.units)}.` }),
    branch ? placeRows(bench, branch, place, acts(branch), place) : null,
    el('div', { class: 'cage-actions', role: 'group', 'aria-label': 'The tubes that meet here' },
      [found.branch, ...found.mains].map((m) => button(sayName(m), () => bench.choose({ members: [m] }))),
      found.mains.length ? button('Gusset in this corner', () => does.part('gusset', { between: [found.branch, found.mains[0]], near: found.point.map(Math.round) }), { 'data-key': 'gusset' }) : null,
      otherHalf(bench, found) ? button(`Keep ${sayName(found.branch)} whole instead`, () => void does.edit({ swap: { name: found.mains[0], half: found.branch } }), { 'data-key': 'swap', title: `${sayName(found.mains[0])} is then in two on it` }) : null),
    branch ? welded(branch, found.which, does) : null,
    branch ? papers(scene, branch, found.which) : null,
    findings(bench, [found.branch]),
  ];
}

/** @param {Holder} bench @param {string} name @param {Does} does */
function foot(bench, name, does) {
  const { scene } = bench.now;
  const found = scene.feet.find((f) => f.name === name);
  if (!found) return nothing();
  const lands = scene.members.filter((m) => m.places.some((p) => p.foot === name));
  return [
    heading(sayName(found.name), `foot on the ${found.seat}${found.bolted ? ', bolted' : ''}`),
    el('div', { class: 'cage-three' }, AXES.map((axis, n) => el('label', { class: 'cage-axis' }, el('span', { text: axis }), numberField({
      label: `Foot ${name}: ${axis}`, key: `foot ${axis}`, value: found.point[n], units: scene.units,
      onTry: (value) => does.attempt({ move: { foot: name, [axis]: value, host: true } }),
      onSet: (value) => void does.edit({ move: { foot: name, [axis]: value, host: true } }),
      onLeave: does.leave,
      onFocus: () => does.turn(axis),
    })))),
    footFields(bench, found, does),
    el('div', { class: 'cage-actions' }, lands.map((m) => button(sayName(m.name), () => bench.choose({ members: [m.name] })))),
    findings(bench, [name]),
  ];
}

/** How the end is welded. @param {Member} branch @param {'start'|'end'} which @param {Does} does */
function welded(branch, which, does) {
  const ways = /** @type {[string, string][]} */ ([['', 'change the weld …'], ['none', 'all round'], ...FACINGS.map((part) => /** @type {[string, string]} */ ([part, `left open: ${part}`]))]);
  return field('Welded', choice(ways, '', (open) => open && void does.edit({ weld: { members: branch.name, [which]: { open: open === 'none' ? [] : open } } }), { 'data-key': 'weld' }));
}
