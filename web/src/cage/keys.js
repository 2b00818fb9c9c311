/** The page's keys, beside those of every page. */

/** @type {{keys: string, words: string}[]} */
export const KEYS = [
  { keys: '↑ ↓', words: 'next tube, joint or foot in the table; next finding in the list' },
  { keys: '1 … 7', words: 'look from the corner, left, right, front, rear, above, the driver' },
  { keys: 'F', words: 'fit what is chosen into the picture, or all of it' },
  { keys: 'A', words: 'add a bar' },
  { keys: 'D', words: 'distance between two picks' },
  { keys: 'E', words: 'edit what is chosen: to its first field' },
  { keys: 'W', words: 'which way the handle drags: up, back, across' },
  { keys: '↑ ↓', words: 'in a number: 1 mm or 1/16 in more or less; with Shift 10 mm or 1/2 in' },
  { keys: 'Delete', words: 'remove what is chosen' },
  { keys: 'S', words: 'section: none, back, across, up; [ and ] move it' },
  { keys: 'L N H C', words: 'show or hide body lines, names, people, scan' },
  { keys: 'T J G P', words: 'tubes, joints and feet, findings, the plan’s text' },
  { keys: '/', words: 'find in the findings' },
  { keys: 'Esc', words: 'leave what is being done; choose nothing' },
];

/**
 * @param {Record<string, () => void>} does by key
 */
export function listenKeys(does) {
  document.addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey || (event.defaultPrevented && event.key !== 'Escape') || document.querySelector('dialog[open]')) return;
    const target = /** @type {HTMLElement} */ (event.target);
    const typing = target.closest?.('input:not([type=checkbox]):not([type=range]), textarea, select');
    if (typing && event.key !== 'Escape') return;
    const act = does[event.key.length === 1 ? event.key.toLowerCase() : event.key];
    if (!act) return;
    event.preventDefault();
    act();
  });
}
