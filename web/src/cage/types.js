/**
 * What this page reads of the server's answers beyond the shapes that every page passes on. Lengths in mm, mass in kg.
 *
 * @typedef {import('../types').Vec3} Point back, across, up
 * @typedef {import('../shapes').Units} Units
 * @typedef {import('../types').ScenePlace} Place
 * @typedef {import('../types').SceneMember} Member
 * @typedef {import('../types').SceneJoint} Joint
 * @typedef {import('../types').SceneFoot} Foot
 * @typedef {import('../types').Choices} Choices
 * @typedef {import('../types').Scene} Scene
 * @typedef {import('../types').Delta} Delta
 *
 * @typedef {import('../types').FindingRow} Finding
 *
 * @typedef {{mm: number, member: string, words: string, point: Point}} Gap
 * @typedef {object} Figures
 * @property {number} mass_kg
 * @property {{name: string, words: string, members: number, metres: number}[]} tubes
 * @property {{bars: number|null, cost: number|null, currency: string, why: string}} buy
 * @property {Record<'helmet'|'driver'|'body', Gap|null>|null} gaps
 *
 * @typedef {object} Chosen
 * @property {string[]} members
 * @property {string[]} joints
 * @property {string[]} feet
 * @property {number|null} place index of the place that has the handle
 */
export {};
