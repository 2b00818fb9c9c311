// A step as it stands with what was entered here and is still on its way to the workbench.

/** @typedef {import('../outbox.js').Item} Item */
/** @typedef {import('./types.js').StepData} StepData */

/**
 * @param {StepData} data as the workbench has it
 * @param {Item[]} items oldest first
 * @returns {StepData}
 */
export function withEntered(data, items) {
  const found = { ...data, taken: [...data.taken], ticks: [...data.ticks], record: data.record && { ...data.record, rows: [...data.record.rows] } };
  const there = new Set([...found.taken, ...found.ticks, ...(found.record?.rows ?? [])].map((row) => row.uid));
  for (const item of items) {
    const { body } = item;
    if (body.entry === 'take back') withoutLine(found, body.of);
    else if (body.step === String(data.step.number) && !there.has(item.uid)) put(found, item);
  }
  return found;
}

/** @param {StepData} data @param {string} uid */
function withoutLine(data, uid) {
  data.taken = data.taken.filter((row) => row.uid !== uid);
  data.ticks = data.ticks.filter((row) => row.uid !== uid);
  if (data.record) data.record.rows = data.record.rows.filter((row) => row.uid !== uid);
}

/** @param {StepData} data @param {Item} item */
function put(data, { uid, at, body, blob }) {
  const line = { uid, line: 0, by: body.by, taken: new Date(at).toISOString(), waits: true };
  if (body.entry === 'reading') data.taken.push({ ...line, kind: body.kind, a: body.a, b: body.b, axis: body.axis, says: body.says, start: body.says, used: true, why: '', verdict: '', level: 'fine', also: '' });
  else if (body.entry === 'tick') data.ticks.push({ ...line, what: body.what, done: body.done });
  else data.record?.rows.unshift({ ...line, kind: blob ? 'photo' : body.entry, about: body.what, said: body.says ?? body.standing ?? '', note: body.note ?? '', as_signed: null, blob });
}
