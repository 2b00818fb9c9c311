// What is said to the builder: the status line, questions, and what went wrong.

/** @typedef {'note' | 'done' | 'wrong'} Tone */

/** @type {ReturnType<typeof setTimeout> | undefined} */
let fading;

/**
 * Say it in the status line; a screen reader reads it out.
 * @param {string} words
 * @param {Tone} [tone]
 */
export function say(words, tone = 'note') {
  const line = document.getElementById('status');
  if (!line) return;
  line.textContent = words;
  line.dataset.tone = tone;
  clearTimeout(fading);
  if (tone !== 'wrong') fading = setTimeout(() => (line.textContent = ''), 12_000);
}

/**
 * Show what went wrong in a box that stays until it is closed.
 * @param {{error: string, reference?: string, problems?: import('./types').Problem[]}} wrong
 */
export function sayWrong(wrong) {
  const box = dialog('wrong-box', 'alertdialog');
  box.append(element('h2', wrong.problems?.length ? 'That cannot be done' : 'Something went wrong'));
  box.append(element('p', wrong.error));
  if (wrong.problems?.length) box.append(problemList(wrong.problems));
  if (wrong.reference) box.append(element('p', `Reference ${wrong.reference} (also in the log file).`, 'small'));
  box.append(actions(box, [{ words: 'Close', value: 'close', main: true }]));
  open(box);
  say(wrong.error, 'wrong');
}

/**
 * Ask; true for yes.
 * @param {string} words
 * @param {{yes?: string, no?: string, detail?: string}} [labels]
 * @returns {Promise<boolean>}
 */
export async function askYesNo(words, { yes = 'Yes', no = 'No', detail = '' } = {}) {
  const answer = await askOneOf(words, [{ words: no, value: 'no' }, { words: yes, value: 'yes', main: true }], detail);
  return answer === 'yes';
}

/**
 * Ask for one of several; null where the question is closed.
 * @param {string} words
 * @param {{words: string, value: string, main?: boolean}[]} choices
 * @param {string} [detail]
 * @returns {Promise<string | null>}
 */
export function askOneOf(words, choices, detail = '') {
  const box = dialog('question');
  box.append(element('h2', words));
  if (detail) box.append(element('p', detail));
  box.append(actions(box, choices));
  return answered(box);
}

/**
 * Ask for a line of text; null where the question is closed.
 * @param {string} words
 * @param {{value?: string, yes?: string, hint?: string}} [more]
 * @returns {Promise<string | null>}
 */
export async function askText(words, { value = '', yes = 'Go on', hint = '' } = {}) {
  const box = dialog('question');
  const label = element('label', words, 'field');
  const field = document.createElement('input');
  field.value = value;
  field.maxLength = 400;
  label.append(field);
  box.append(label);
  if (hint) box.append(element('p', hint, 'small'));
  box.append(actions(box, [{ words: 'Cancel', value: 'no' }, { words: yes, value: 'yes', main: true }]));
  field.addEventListener('keydown', (event) => {
    if (event.key !== 'Enter') return;
    event.preventDefault(); // or the key also presses the button that the focus goes back to
    box.close('yes');
  });
  return (await answered(box)) === 'yes' ? field.value : null;
}

/**
 * The problems of a plan's text as a list; each line says where, what stands there and what is wanted.
 * @param {import('./types').Problem[]} problems
 * @param {(problem: import('./types').Problem) => void} [onLine] makes each place a button
 */
export function problemList(problems, onLine) {
  const list = document.createElement('ul');
  list.className = 'problems';
  for (const problem of problems) list.append(problemItem(problem, onLine));
  return list;
}

/**
 * @param {import('./types').Problem} problem
 * @param {((problem: import('./types').Problem) => void) | undefined} onLine
 */
function problemItem(problem, onLine) {
  const item = document.createElement('li');
  const words = onLine && problem.point && document.body.dataset.page === 'cage' ? 'Show it' : sayWhere(problem.where);
  const where = onLine ? element('button', words, 'link') : element('b', words);
  if (onLine) where.addEventListener('click', () => onLine(problem));
  item.append(where, document.createTextNode(` ${problem.found}: ${problem.wanted}.`));
  if (problem.nearest) item.append(document.createTextNode(` Did you mean ‘${problem.nearest}’?`));
  return item;
}

/** @param {import('./types').Problem['where']} where `line 12` */
export function sayWhere(where) {
  const line = lineOf(where);
  return line ? `Line ${line}` : 'The plan';
}

/** @param {import('./types').Problem['where']} where @returns {number} 0 where unknown */
export function lineOf(where) {
  if (typeof where !== 'string') return where.line;
  const found = /:(\d+)(?::\d+)?$/.exec(where);
  return found ? Number(found[1]) : 0;
}

/**
 * An element with text in it; text only, never markup.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {string} [words]
 * @param {string} [className]
 * @returns {HTMLElementTagNameMap[K]}
 */
export function element(tag, words = '', className = '') {
  const made = document.createElement(tag);
  if (words) made.textContent = words;
  if (className) made.className = className;
  if (tag === 'button') made.setAttribute('type', 'button');
  return made;
}

/** @param {string} className @param {string} [role] */
function dialog(className, role) {
  const box = document.createElement('dialog');
  box.className = className;
  if (role) box.setAttribute('role', role);
  return box;
}

/** @param {HTMLDialogElement} box @param {{words: string, value: string, main?: boolean}[]} choices */
function actions(box, choices) {
  const row = element('p', '', 'actions');
  for (const choice of choices) {
    const button = element('button', choice.words, choice.main ? 'main' : '');
    button.addEventListener('click', () => box.close(choice.value));
    row.append(button);
  }
  return row;
}

/** @param {HTMLDialogElement} box */
function open(box) {
  const heading = box.querySelector('h2, label');
  if (heading) {
    heading.id = `said-${Date.now()}`;
    box.setAttribute('aria-labelledby', heading.id);
  }
  document.body.append(box);
  box.addEventListener('close', () => box.remove());
  box.showModal();
  const first = /** @type {HTMLElement | null} */ (box.querySelector('input') ?? box.querySelector('button.main'));
  first?.focus();
}

/** @param {HTMLDialogElement} box @returns {Promise<string | null>} */
function answered(box) {
  return new Promise((resolve) => {
    box.addEventListener('close', () => resolve(box.returnValue || null));
    open(box);
  });
}
