/** Differences between two scenes, as an edit or a trial of one brings them. */

/** @typedef {import('./types').Scene} Scene */
/** @typedef {import('./types').Delta} Delta */

/**
 * The scene after a difference.
 * @param {Scene} scene
 * @param {Delta} delta
 * @returns {Scene}
 */
export function changed(scene, { members: whole, gone, order, rest, number, revision }) {
  const members = new Map(scene.members.map((m) => [m.name, m]));
  for (const name of gone) members.delete(name);
  for (const member of whole) members.set(member.name, member);
  const names = order ?? [...members.keys()];
  return { ...scene, ...rest, number, revision, members: names.flatMap((name) => members.get(name) ?? []) };
}

/**
 * What turns a scene with the difference tried on it back into the scene.
 * @param {Scene} scene as it stands
 * @param {Delta} tried
 * @returns {Delta}
 */
export function undone(scene, tried) {
  const there = new Map(scene.members.map((m) => [m.name, m]));
  const touched = [...tried.members.map((m) => m.name), ...tried.gone];
  return {
    number: scene.number,
    revision: scene.revision,
    members: touched.flatMap((name) => there.get(name) ?? []),
    gone: touched.filter((name) => !there.has(name)),
    order: scene.members.map((m) => m.name),
    rest: Object.fromEntries(Object.keys(tried.rest).map((key) => [key, /** @type {any} */ (scene)[key]])),
  };
}

/**
 * The difference to show after one trial follows another: what the first touched and the second leaves alone goes
 * back to how it stands.
 * @param {Scene} scene as it stands
 * @param {Delta|null} last
 * @param {Delta} next
 * @returns {Delta}
 */
export function instead(scene, last, next) {
  if (!last) return next;
  const back = undone(scene, last);
  const now = new Set([...next.members.map((m) => m.name), ...next.gone]);
  return {
    ...next,
    members: [...back.members.filter((m) => !now.has(m.name)), ...next.members],
    gone: [...back.gone.filter((name) => !now.has(name)), ...next.gone],
    rest: { ...back.rest, ...next.rest },
  };
}
