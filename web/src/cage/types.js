/**
 * What this page reads of the server's answers beyond the shapes that every page passes on. Lengths in mm, mass in kg.
 *
 * @typedef {import('../types').Vec3} Point back, across, up
 * @typedef {import('../types').Units} Units
 * @typedef {import('../types').Place & {side?: string|null}} Place
 * @typedef {import('../types').MemberShape & {steel?: string, places: Place[]}} Member
 * @typedef {import('../types').JointShape} Joint
 * @typedef {import('../types').FootShape & {members?: string[], bolted?: boolean}} Foot
 * @typedef {{od: number, wall: number, steel: string, clr: number|null}} Tube
 *
 * @typedef {Omit<import('../types').Scene, 'members'|'feet'> & {
 *   members: Member[], feet: Foot[], tubes?: Record<string, Tube>, points?: Record<string, Point>,
 * }} Scene
 * @typedef {Partial<Omit<Scene, 'members'>> & {
 *   number: number, revision: string, members?: Member[], gone?: string[], order?: string[],
 * }} Delta
 *
 * @typedef {object} Finding
 * @property {string} id
 * @property {'fail'|'cannot tell'|'pass'|'not applicable'} verdict
 * @property {boolean} warning
 * @property {string} book
 * @property {string} clause
 * @property {string} title
 * @property {string|null} measured
 * @property {string} limit
 * @property {{members: string[], feet: string[], joints: string[], point: Point|null, part: string}} where
 * @property {string} words
 * @property {string} why
 * @property {string} advice
 * @property {string} certainty
 *
 * @typedef {object} Chosen
 * @property {string[]} members
 * @property {string[]} joints
 * @property {string[]} feet
 * @property {number|null} place index of the place that has the handle
 */
export {};
