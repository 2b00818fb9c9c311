// What the page puts together of the answers to its questions. Types only.

/** @typedef {import('../types').StepRow & Partial<import('../types').ProgressRow>} StepRow */
/** @typedef {Omit<import('../types').OrderAnswer, 'steps'> & {steps: StepRow[], jobs: import('../types').ShopJob[], job: import('../types').ShopJob | null, record: boolean}} Steps */
/** @typedef {import('../types').Wanted} Known a reading that the plan has a figure for */
/** @typedef {Omit<Known, 'planned' | 'within' | 'ask'> & {planned: Known['planned'] | null, within: Known['within'] | null, ask: Known['ask'] | null}} Wanted */
/** @typedef {import('../types').TakenRow & Waits} Taken */
/** @typedef {import('../types').TickRow & Waits} Tick */
/** @typedef {{waits?: boolean}} Waits it is on its way to the workbench */
/** @typedef {import('../types').RecordRow & Waits & {blob?: Blob}} RecordRow */
/** @typedef {import('../types').StepAnswer & {taken: Taken[], ticks: Tick[], record: (Omit<import('../types').StepRecord, 'rows'> & {rows: RecordRow[]}) | null}} StepData */
/** @typedef {import('../types').PullRow} PullRow */
/** @typedef {{square: import('../types').SquareAnswer | null, pull: import('../types').PullAnswer | null, problems: string[]}} Square */
export {};
