/** Elements made from plain values; whatever a plan says goes in as text, never as markup. */

/** @typedef {Node|string|number|null|undefined|false} Child */

/**
 * One element. Keys of `has`: `class`, `text`, `on<event>` functions, true/false for bare attributes, else attributes.
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, any>} [has]
 * @param {...(Child|Child[])} children
 * @returns {HTMLElementTagNameMap[T]}
 */
export function el(tag, has = {}, ...children) {
  const made = document.createElement(tag);
  for (const [key, value] of Object.entries(has)) give(made, key, value);
  made.append(...nodes(children));
  return made;
}

/**
 * @param {HTMLElement} made
 * @param {string} key
 * @param {any} value
 */
function give(made, key, value) {
  if (value === null || value === undefined || value === false) return;
  if (typeof value === 'function') made.addEventListener(key.replace(/^on/, ''), value);
  else if (key === 'text') made.textContent = String(value);
  else if (key === 'value') /** @type {HTMLInputElement} */ (made).value = String(value);
  else made.setAttribute(key, value === true ? '' : String(value));
}

/**
 * @param {(Child|Child[])[]} children
 * @returns {(Node|string)[]}
 */
function nodes(children) {
  return children
    .flat()
    .filter((c) => c !== null && c !== undefined && c !== false)
    .map((c) => (c instanceof Node ? c : String(c)));
}

/**
 * The holder with these children and no others.
 * @param {Element} holder
 * @param {...(Child|Child[])} children
 */
export function fill(holder, ...children) {
  holder.replaceChildren(...nodes(children));
}

/**
 * A labelled field: the words above, the control below, what is wrong under it.
 * @param {string} words
 * @param {HTMLElement} control
 * @param {string} [hint]
 */
export function field(words, control, hint) {
  return el('label', { class: 'cage-field' }, el('span', { class: 'cage-field-words', text: words }), control, hint ? el('small', { text: hint }) : null);
}

/**
 * @param {string} words
 * @param {() => void} act
 * @param {Record<string, any>} [has]
 */
export function button(words, act, has = {}) {
  return el('button', { type: 'button', onclick: act, ...has }, words);
}

/**
 * A choice from a list.
 * @param {[value: string, words: string][]} choices
 * @param {string} chosen
 * @param {(value: string) => void} act
 * @param {Record<string, any>} [has]
 */
export function choice(choices, chosen, act, has = {}) {
  const made = el('select', { onchange: () => act(made.value), ...has });
  made.append(...choices.map(([value, words]) => el('option', { value, text: words })));
  made.value = chosen;
  return made;
}

/**
 * The element of that id on the page.
 * @param {string} id
 * @returns {HTMLElement}
 */
export function byId(id) {
  const found = document.getElementById(id);
  if (!found) throw new Error(`the page has no #${id}`);
  return found;
}
