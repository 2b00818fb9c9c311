/**
 * What this page reads of the server's answers beyond the shapes that every page passes on. Lengths in mm, mass in kg.
 *
 * @typedef {import('../types').Vec3} Point back, across, up
 * @typedef {import('../shapes').Units} Units
 * @typedef {import('../types').ScenePlace} Place
 * @typedef {import('../types').SceneMember} Member
 * @typedef {import('../types').SceneJoint} Joint
 * @typedef {import('../types').SceneFoot} Foot
 * @typedef {import('../types').ScenePlate} Plate
 * @typedef {import('../types').SceneGusset} Gusset
 * @typedef {import('../types').CageChoices} Choices
 * @typedef {import('../types').Scene} Scene
 * @typedef {import('../types').Delta} Delta
 *
 * @typedef {import('../types').FindingRow} Finding
 *
 * @typedef {import('../types').GapFigure} Gap
 * @typedef {import('../types').Figures} Figures
 *
 * @typedef {object} Chosen
 * @property {string[]} members
 * @property {string[]} joints
 * @property {string[]} feet
 * @property {string[]} plates
 * @property {string[]} gussets
 * @property {number|null} place index of the place that has the handle
 */
export {};
