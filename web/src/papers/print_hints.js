// How to print so that a template is as large as it says.

import { el } from '../cage/dom.js';

/** @param {boolean} [short] only what must not be forgotten */
export function printHints(short = false) {
  const steps = [
    'Print the PDF, not this page. In the print window choose “Actual size” or 100 %; never “Fit” or “Shrink”.',
    'Every page of wraps has a 100 mm line. Lay a steel rule on it before you cut: it must read 100 mm, to half a millimetre.',
    'Cut round the wrap, tape it on with the edge square to the tube, and turn it to the line that sets it.',
  ];
  return el('section', { class: 'panel print-hints', 'aria-label': 'How to print' },
    el('h2', { text: 'Printing at true scale' }),
    el('ol', {}, (short ? steps.slice(0, 2) : steps).map((words) => el('li', { text: words }))),
    checkLine());
}

/** The line as it stands on the pages, and a warning that this one is not it. */
function checkLine() {
  return el('p', { class: 'check-line small quiet' },
    el('span', { class: 'check-rule', 'aria-hidden': 'true' }, el('span', { text: '100 mm' })),
    el('span', { text: 'It looks like this; only the printed one counts.' }));
}
