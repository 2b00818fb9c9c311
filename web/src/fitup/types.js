// What the server sends of a fit-up. Types only.

/** @typedef {{number: number, title: string, where: string, tack: string[], weld: string[], notes: string[], slow: boolean, read?: number, done?: {by: string, taken: string, line: number} | null}} StepRow */
/** @typedef {{name: string, customer: string, title: string, units: import('../shapes').Units}} JobRow */
/** @typedef {{steps: StepRow[], broken: string[], moves: Record<string, number>, jobs: JobRow[], job: JobRow | null, record: boolean, units: import('../shapes').Units, revision: string}} Steps */
/** @typedef {{number: number, kind: 'tape' | 'level' | 'lean' | 'place', a: string, b: string, axis: string, plan: number, plan_words: string, within: number, within_words: string, why: string}} Wanted */
/** @typedef {{name: string, member: string | null, face: string, what: string, along: string, point: import('../types').Vec3}} MarkRow */
/** @typedef {{line: number, kind: string, a: string, b: string, axis: string, says: string, value: number | null, used: boolean, why: string, by: string, taken: string}} Taken */
/** @typedef {{what: string, done: string, by: string, taken: string, line: number}} Tick */
/** @typedef {{step: StepRow, present: string[], held: string[], welded: string[], datum: string, marks: MarkRow[], mark_names: string[], readings: Wanted[] | null, taken: Taken[], ticks: Tick[], revision: string}} StepData */
/** @typedef {{how: string, force?: number, words: string, then_how?: string, then_words?: string}} Closing */
/** @typedef {{member: string, mark: string, end: string, stands: 'in place' | 'out' | 'cannot tell', off: number[], sure: number[], words: string, closing: Closing | null}} EndRow */
/**
 * @typedef {object} Square
 * @property {boolean} told
 * @property {number} used
 * @property {string} datum
 * @property {number} scatter
 * @property {boolean} fits
 * @property {string[]} loose
 * @property {{a: string, b: string, kind: string, words: string}[]} slips
 * @property {string[]} not_used
 * @property {string[]} unchecked
 * @property {EndRow[]} ends
 * @property {{mark: string, member: string, stands: string, words: string, from: import('../types').Vec3, to: import('../types').Vec3}[]} arrows
 * @property {number} stretch
 * @property {{joint: string, open: number, overlap: number, sure: number, words: string}[]} gaps
 * @property {Wanted[]} read_next
 * @property {string[]} cautions
 */
export {};
