// The Cage page: the picture, its tables, the panel for what is chosen, and every change with what it does.

import '../cage.css';
import { goToProblem, startPage } from '../frame.js';
import { ask, edit as send, onAnswer, onElsewhere, onState, planUrl, Refused, state } from '../net.js';
import { say, sayWrong } from '../say.js';
import { makeView } from '../view/view.js';
import { addBar } from '../cage/add_bar.js';
import { addPart } from '../cage/add_part.js';
import { askRemove, askSplit } from '../cage/asks.js';
import { makeBench } from '../cage/bench.js';
import { changed, instead, undone } from '../delta.js';
import { chosenPanel } from '../cage/chosen.js';
import { byId } from '../cage/dom.js';
import { findingsList } from '../cage/findings_list.js';
import { dragHandle } from '../cage/handle.js';
import { KEYS, listenKeys } from '../cage/keys.js';
import { workLater } from '../cage/later.js';
import { measure } from '../cage/measure.js';
import { planText } from '../cage/plan_text.js';
import { nearest } from '../cage/reach.js';
import { seeMore } from '../cage/see_more.js';
import { strip } from '../cage/strip.js';
import { jointsTable, toggled, tubesTable } from '../cage/tables.js';
import { tabs } from '../cage/tabs.js';
import { tools } from '../cage/tools.js';
import { makeTries } from '../cage/tries.js';
import { paintOf, signOf, WRONG } from '../cage/words.js';

/** @typedef {import('../cage/types.js').Scene} Scene */
/** @typedef {import('../cage/types.js').Finding} Finding */
/** @typedef {import('../cage/bench.js').Holder} Holder */
/** @typedef {ReturnType<typeof makeView>} View */

/** The ways that a handle drags what sits on no tube. */
const WAYS = /** @type {const} */ (['up', 'back', 'across']);

startPage({ keys: KEYS });
void open();

async function open() {
  const text = () => planText(byId('panel-text'), { ...nothingDone, edit: async (edit) => Boolean(await send(edit)) });
  const [scene, figures, findings] = await Promise.all([got('/scene'), got('/figures'), got('/findings')]);
  if (!scene?.members.length) return withoutCage(text());
  const bench = makeBench(scene);
  bench.set({ figures, quick: findings ?? [], blemishes: state()?.problems ?? [] });
  onState((now) => bench.set({ blemishes: now.problems }, 'figures'));
  bench.weigh();
  build(bench);
}

const nothingDone = { attempt: () => {}, leave: () => {}, remove: () => {}, split: () => {}, add: () => {}, turn: () => {}, part: () => {} };

/** @param {string} rest @returns {Promise<any>} null where the plan cannot be built */
async function got(rest) {
  try {
    const answer = await ask('GET', planUrl(rest), undefined, { quiet: true });
    return rest === '/findings' ? answer.rows : answer;
  } catch (wrong) {
    if (!(wrong instanceof Refused)) throw wrong;
    if (wrong.status !== CANNOT_BUILD) sayWrong({ error: wrong.message, ...wrong.body });
    return null;
  }
}

/** What the server answers while the plan's text has problems. */
const CANNOT_BUILD = 409;

/** The plan cannot be built yet: its text is all there is. @param {ReturnType<typeof planText>} text */
function withoutCage(text) {
  document.body.classList.add('no-cage');
  tabs(byId('cage-tabs'), () => {}).open('text');
  void text.load();
  goToProblem((problem) => void text.goTo(problem));
  onAnswer((answer) => answer.state.problems.length || location.reload());
  onElsewhere((state) => state.problems.length || location.reload());
}

/** @param {Holder} bench */
function build(bench) {
  const view = makeView(byId('cage-view'), { label: 'The cage in three dimensions' });
  view.show(bench.now.scene);
  let marked = true;
  /** @type {import('../shapes').Mark[]} */
  let spotted = [];
  const drawMarks = () => view.marks([...marksOf(bench, marked), ...spotted]);
  const does = doings(bench, view, (words) => ({ add: adding, part: parting }[/** @type {string} */ (bench.now.doing)] ?? handle).refused(words));
  const chosen = byId('cage-chosen');
  chosenPanel(chosen, bench, does);
  const adding = addBar(chosen, bench, does, (points) => {
    spotted = points.map((point, n) => ({ point, kind: 'note', sign: String(n + 1), words: `place ${n + 1} of the new bar`, key: `spot ${n}` }));
    drawMarks();
  });
  does.add = (member) => adding.start(member);
  const parting = addPart(chosen, bench, does);
  does.part = (kind, what) => parting.start(kind, what);
  const measuring = measure(chosen, bench, view);
  const handle = dragHandle(bench, view, does, byId('cage-readout'));
  does.turn = (axis) => WAYS.includes(/** @type {any} */ (axis)) && handle.turn(/** @type {'up'} */ (axis));
  const text = planText(byId('panel-text'), does);
  const sides = tabs(byId('cage-tabs'), (name) => void (name === 'text' && text.load()));
  bench.on(['doing'], ({ doing }) => {
    document.body.dataset.doing = doing;
    if (doing !== 'look' && sides.now() === 'text') sides.open('tubes');
  });
  void text.load(); // words that were not kept are marked on the tab
  tubesTable(byId('panel-tubes'), bench);
  jointsTable(byId('panel-joints'), bench);
  findingsList(byId('panel-findings'), bench, (finding) => showFinding(bench, view, finding));
  strip(byId('cage-strip'), bench, {
    findings: () => sides.open('findings'),
    gap: (gap) => {
      bench.choose({ members: [gap.member] });
      view.marks([...marksOf(bench, false), { point: gap.point, kind: 'note', words: gap.words, key: 'gap' }]);
    },
  });
  workLater(bench);
  const offer = async () => {
    const choices = await got('/cage/choices');
    if (choices && JSON.stringify(choices) !== JSON.stringify(bench.now.choices)) bench.set({ choices }, 'choices');
  };
  bench.on(['scene'], () => void offer());
  void offer();
  goToProblem((problem) => {
    if (problem.point) return showBlemish(bench, view, problem.point);
    sides.open('text');
    void text.goTo(problem);
  });
  const seeing = seeMore(bench, view, () => got('/cage/numbers'));
  const bar = tools(byId('cage-tools'), bench, {
    stand: (stand) => view.stand(stand),
    fit: () => view.fit(bench.now.chosen.members.length ? bench.now.chosen.members : undefined),
    section: (cut) => view.section(cut),
    parts: ({ marks, pieces, welds, axes, was, ...parts }) => {
      view.show_parts(parts);
      marked = marks;
      drawMarks();
      seeing.set({ pieces, welds, axes, was });
    },
    apart: (share) => view.apart(share),
    add: () => (bench.now.doing === 'add' ? adding.stop() : adding.start()),
    make: (what) => (what === 'list' ? adding.byList() : parting.start(/** @type {'foot'} */ (what))),
    measure: () => (bench.now.doing === 'measure' ? measuring.stop() : measuring.start()),
  });

  bench.on(['figures', 'scene', 'chosen', 'trial'], drawMarks);
  bench.on(['trial'], ({ trial }) => view.trying((trial?.changed.members ?? []).map((m) => m.name)));
  bench.on(['chosen'], ({ chosen: { members, joints } }) => view.select({ members, joints }));
  view.onMark((/** @type {string} */ key) => {
    sides.open('findings');
    /** @type {HTMLElement|null} */ (byId('panel-findings').querySelector(`[data-finding='${CSS.escape(key)}']`))?.click();
  });
  view.onPick((pick) => {
    if (bench.now.doing === 'add') return adding.pick(pick, (near) => view.pressedAt(near));
    if (bench.now.doing === 'part') return pick && parting.pick(pick);
    if (bench.now.doing === 'measure') {
      const point = pick?.member ? null : view.anyPressed();
      return point ? measuring.pick({ point }) : pick && measuring.pick(pick);
    }
    picked(bench, pick);
  });
  view.onHover((pick) => {
    for (const row of document.querySelectorAll('#panel-tubes tr[data-row]')) row.classList.toggle('over', /** @type {HTMLElement} */ (row).dataset.row === pick?.member);
  });
  follow(bench, view, does);
  drawer();
  onPaper(view);
  listenKeys(keysOf(bench, { view, bar, sides, adding, parting, measuring, handle, does }));
}

/**
 * What the panels can have done.
 * @param {Holder} bench
 * @param {View} view
 * @param {(words: string) => void} refused
 */
function doings(bench, view, refused) {
  const tries = makeTries(
    (/** @type {Record<string, any>} */ edit) => ask('POST', planUrl('/edits'), { ...edit, trial: true }, { quiet: true }).catch((wrong) => wrong.body ?? {}),
    (answer) => {
      if (!answer.changed) return refusedTrial(answer);
      view.change(instead(bench.now.scene, bench.now.trial?.changed ?? null, answer.changed));
      bench.set({ trial: { changed: answer.changed, figures: answer.figures, findings: answer.findings?.rows, blemishes: answer.blemishes } }, 'trial');
    },
  );
  const refusedTrial = (/** @type {any} */ answer) => {
    const [problem] = answer.problems ?? [];
    const words = problem ? `${problem.found}: ${problem.wanted}.` : (answer.error ?? 'That cannot be tried.');
    refused(words);
  };
  const leave = () => {
    tries.stop();
    const { trial, scene } = bench.now;
    if (!trial) return;
    view.change(undone(scene, trial.changed));
    bench.set({ trial: null }, 'trial');
  };
  return {
    attempt: tries.ask,
    leave,
    stop: tries.stop,
    /** @param {Record<string, any>} edit */
    async edit(edit) {
      tries.stop();
      const answer = await send(edit);
      if (answer) {
        if (answer.words) say(`${answer.words}.`, 'done');
        return true;
      }
      leave();
      bench.set({}, 'chosen'); // the panel shows again what the plan says
      return false;
    },
    /** @param {string[]} names */
    async remove(names) {
      const edit = await askRemove(bench.now.scene, names);
      if (edit && (await this.edit(edit))) bench.choose({});
    },
    /** @param {import('../cage/types.js').Member} member */
    async split(member) {
      const edit = await askSplit(bench.now.scene, member);
      if (edit) await this.edit(edit);
    },
    /** @type {(member?: import('../cage/types.js').Member) => void} */
    add: () => {},
    /** @type {import('../cage/chosen.js').Does['part']} */
    part: () => {},
    /** @type {(axis: string) => void} */
    turn: () => {},
  };
}

/** Every change shows at once, whoever made it. @param {Holder} bench @param {View} view @param {ReturnType<typeof doings>} does */
function follow(bench, view, does) {
  onAnswer((answer) => {
    does.stop();
    if (answer.unseen) say(answer.unseen, 'wrong');
    if (!answer.changed) return void renew(bench, view);
    const { scene, trial, figures, findings, quick } = bench.now;
    view.change(trial ? instead(scene, trial.changed, answer.changed) : answer.changed);
    const next = changed(scene, answer.changed);
    bench.set({ scene: next, before: { figures, findings }, figures: answer.figures ?? figures, quick: answer.findings?.rows ?? quick, trial: null });
    keepChosen(bench, answer.changed);
    bench.weigh('scene', 'trial');
  });
  onElsewhere(() => void renew(bench, view));
}

/** The whole scene again, as after a change in another tab. @param {Holder} bench @param {View} view */
async function renew(bench, view) {
  const [scene, figures, findings] = await Promise.all([got('/scene'), got('/figures'), got('/findings')]);
  if (!scene?.box) return;
  view.show(scene);
  bench.set({ scene, before: { figures: bench.now.figures, findings: bench.now.findings }, figures, quick: findings ?? [], trial: null });
  keepChosen(bench, { members: [], gone: [] });
  bench.weigh('scene', 'trial');
}

/**
 * What is chosen stays chosen while it is there; a tube under a new name is the same tube.
 * @param {Holder} bench
 * @param {{members?: {name: string}[], gone?: string[]}} delta
 */
function keepChosen(bench, delta) {
  const { scene, chosen } = bench.now;
  const there = new Set([...scene.members, ...scene.joints, ...scene.feet, ...scene.plates, ...scene.gussets].map((one) => one.name));
  const [members, joints, feet, plates, gussets] = [chosen.members, chosen.joints, chosen.feet, chosen.plates, chosen.gussets].map((names) => names.filter((name) => there.has(name)));
  const renamed = chosen.members.length === 1 && !members.length && delta.gone?.includes(chosen.members[0]) ? delta.members?.[0]?.name : null;
  const next = { ...chosen, members: renamed ? [renamed] : members, joints, feet, plates, gussets };
  if (JSON.stringify(next) !== JSON.stringify(chosen)) bench.choose(next);
}

/** @param {Holder} bench @param {import('../shapes').Pick|null} pick */
function picked(bench, pick) {
  const { chosen } = bench.now;
  const joint = pick?.joint && bench.now.scene.joints.some((j) => j.name === pick.joint) ? pick.joint : null;
  if (joint) return bench.choose({ joints: [joint] });
  if (pick?.gusset) return bench.choose({ gussets: [pick.gusset] });
  if (pick?.plate) return bench.choose({ plates: [pick.plate] });
  if (pick?.foot && !pick.member) return bench.choose({ feet: [pick.foot] });
  const member = pick?.member ? bench.member(pick.member) : null;
  if (!pick || !member) return chosen.members.length || chosen.joints.length || chosen.feet.length || chosen.plates.length || chosen.gussets.length ? bench.choose({}) : undefined;
  if (pick.shift) return bench.choose({ members: toggled(chosen.members, member.name) });
  bench.choose({ members: [member.name], place: pick.place ?? placeNear(member, pick.point) });
}

/** How near a pick must be to a place of the tube to mean the place, mm. */
const PLACE_REACH = 60;

/** @param {import('../cage/types.js').Member} member @param {import('../cage/types.js').Point} point */
function placeNear(member, point) {
  const on = nearest(member.axis, point).point;
  const near = member.places.map((p) => ({ index: p.index, gap: Math.hypot(...p.at.map((v, n) => v - on[n])) })).sort((a, b) => a.gap - b.gap)[0];
  return near && near.gap < PLACE_REACH ? near.index : null;
}

/** The tube that passes nearest to a place to be put right. @param {Holder} bench @param {View} view @param {import('../cage/types.js').Point} point */
function showBlemish(bench, view, point) {
  const [near] = bench.now.scene.members.map((m) => ({ name: m.name, gap: nearest(m.axis, point).gap })).sort((a, b) => a.gap - b.gap);
  bench.choose({ members: [near.name] });
  view.fit([near.name]);
}

/** @param {Holder} bench @param {View} view @param {Finding} finding */
function showFinding(bench, view, finding) {
  const { members, joints, feet } = finding.where;
  bench.choose({ members, joints, feet });
  if (members.length) view.fit(members);
  const { point } = finding.where;
  if (point) view.marks([...marksOf(bench, false), markOf(finding, point)]);
}

/** @param {Finding} finding @param {import('../cage/types.js').Point} point @returns {import('../shapes').Mark} */
const markOf = (finding, point) => ({ point, kind: paintOf(finding), sign: signOf(finding), words: `${finding.said}: ${finding.title}`, key: finding.id });

/** Marks of what is wrong, of places to be put right before it can be made, and of the feet that are chosen. @param {Holder} bench @param {boolean} on @returns {import('../shapes').Mark[]} */
function marksOf(bench, on) {
  const { scene, findings, chosen } = bench.now;
  const feet = scene.feet.filter((f) => chosen.feet.includes(f.name)).map((f) => ({ point: f.point, kind: /** @type {const} */ ('note'), words: f.name, key: `foot ${f.name}` }));
  const wrong = !on ? [] : findings.filter((f) => WRONG.includes(f.verdict)).flatMap((f) => {
    const { point } = f.where;
    return point ? [markOf(f, point)] : [];
  });
  const blemishes = (bench.now.trial?.blemishes ?? bench.now.blemishes).flatMap((b, n) => (b.point ? [{ point: b.point, kind: /** @type {const} */ ('wrong'), sign: '!', words: `${b.found}: ${b.wanted}`, key: `blemish ${n}` }] : []));
  return [...blemishes, ...wrong, ...feet];
}

/** The drawer of the tables on a tablet. */
function drawer() {
  const handle = byId('cage-drawer');
  handle.addEventListener('click', () => {
    const open = !document.body.classList.toggle('cage-folded');
    handle.setAttribute('aria-expanded', String(open));
  });
}

/** A picture is drawn at the paper's size before it is printed; it cannot be stretched after. @param {View} view */
function onPaper(view) {
  const size = (/** @type {boolean} */ on) => {
    document.body.classList.toggle('cage-printing', on);
    view.resize();
  };
  addEventListener('beforeprint', () => size(true));
  addEventListener('afterprint', () => size(false));
}

/** @param {Holder} bench @param {any} parts @returns {Record<string, () => void>} */
function keysOf(bench, { view, bar, sides, adding, parting, measuring, handle, does }) {
  const first = (/** @type {string} */ id, /** @type {string} */ what) => /** @type {HTMLElement|null} */ (byId(id).querySelector(what))?.focus();
  const side = (/** @type {string} */ name, /** @type {string} */ what) => () => {
    sides.open(name);
    first(`panel-${name}`, what);
  };
  const stands = Object.fromEntries(Array.from({ length: 7 }, (_, n) => [String(n + 1), () => bar.go(n)]));
  return {
    ...stands,
    f: () => view.fit(bench.now.chosen.members.length ? bench.now.chosen.members : undefined),
    a: () => adding.start(), d: () => measuring.start(), s: () => bar.section.next(),
    '[': () => bar.section.on() && bar.section.move(-10), ']': () => bar.section.on() && bar.section.move(10),
    l: () => bar.toggle('lines'), n: () => bar.toggle('names'), h: () => bar.toggle('people'), c: () => bar.toggle('scan'),
    t: side('tubes', "tr[tabindex='0']"), j: side('joints', "tr[tabindex='0']"), g: side('findings', '.cage-finding'), p: side('text', 'textarea'), '/': side('findings', 'input[type=search]'),
    e: () => first('cage-chosen', 'input, select'),
    w: () => {
      handle.turn(WAYS[(WAYS.indexOf(handle.way()) + 1) % 3]);
      say(`The handle drags ${handle.way()}.`);
    },
    Delete: () => bench.now.chosen.members.length && does.remove(bench.now.chosen.members),
    Escape: () => {
      if (bench.now.doing === 'add') return adding.stop();
      if (bench.now.doing === 'part') return parting.stop();
      if (bench.now.doing === 'measure') return measuring.stop();
      does.leave();
      bench.choose({});
    },
  };
}
