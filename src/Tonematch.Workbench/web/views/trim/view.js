// Trim: what the person wants after the match, live, with what it costs against camera A.
// @ts-check
import { dE, fill, h } from '/web/state/dom.js';
import { decideHere } from '/web/state/session.js';
import { decisions, match, ready, state } from '/web/state/store.js';
import { MATCHED, A, beside } from '/web/gl/stage.js';
import { chooser, needsMatch } from '/web/views/shared.js';

// Name in the file, words, unit, least, greatest, step, factor from what is shown to the file, neutral.
/** @type {[string, string, string, number, number, number, number, number][]} */
const TRIMS = [
  ['strength', 'Strength', '% of the match', 0, 100, 1, 0.01, 1],
  ['exposure_stops', 'Exposure', 'stops', -3, 3, 0.05, 1, 0],
  ['warmth_mired', 'Warmth', 'mired, right is warmer', -60, 60, 1, 1, 0],
  ['green_duv', 'Green – magenta', 'thousandths, right is greener', -30, 30, 0.5, 0.001, 0],
  ['contrast_percent', 'Contrast', '%', -60, 60, 1, 1, 0],
  ['saturation_percent', 'Saturation', '%', -100, 100, 1, 1, 0],
  ['black_percent', 'Black level', '% of the signal', -10, 10, 0.5, 1, 0],
  ['skin_kept', 'Skin kept as in A', '%', 0, 100, 1, 0.01, 0],
];
const rows = {};
let cost = null, reset = null, calls = null, built = '';
const tidy = v => Math.round(v * 1e6) / 1e6;

function set(name, value, draft) {
  decideHere(m => { m.trim = { ...m.trim, [name]: tidy(value) }; }, draft);
}

function build(panel) {
  calls = h('div');
  cost = h('p.cost', { role: 'status' });
  reset = h('button', { type: 'button', id: 'reset', click: () => decideHere(m => { m.trim = {}; }) }, 'Back to the match alone');
  fill(panel, h('h1', { id: 'title' }, 'Trim'), h('p', {}, 'The match is as near to camera A as it can be. Here you may want it your own way; it becomes part of what is handed over.'), chooser(), calls,
    h('div.sliders', {}, TRIMS.map(([name, title, unit, least, greatest, step, factor, neutral]) => {
      const id = `trim-${name}`;
      const slider = h('input', { type: 'range', id, min: least, max: greatest, step, 'aria-describedby': `${id}-unit` });
      const number = h('input', { type: 'number', min: least, max: greatest, step, 'aria-label': `${title}, ${unit}` });
      const back = h('button.quiet', { type: 'button', 'aria-label': `Reset ${title.toLowerCase()}`, click: () => set(name, neutral, false) }, 'Reset');
      slider.addEventListener('input', () => { number.value = slider.value; set(name, Number(slider.value) * factor, true); });
      slider.addEventListener('change', () => set(name, Number(slider.value) * factor, false));
      number.addEventListener('change', () => { const v = Math.min(greatest, Math.max(least, Number(number.value) || 0)); set(name, v * factor, false); });
      rows[name] = { slider, number, back, factor, neutral };
      return h('div.trim', {}, h('label', { for: id }, title), number, back, slider, h('small', { id: `${id}-unit` }, unit));
    })), cost, reset);
}

export const trim = {
  title: 'Trim',
  stage: true,
  enter(panel, stage) {
    built = '';
    stage.show = { layout: beside(A, MATCHED) };
  },
  render(panel, stage) {
    if (built !== state.current) { built = state.current; build(panel); }
    fill(calls, needsMatch());
    const d = decisions(), m = match();
    let changed = false;
    for (const [name, row] of Object.entries(rows)) {
      const value = tidy((d?.trim[name] ?? row.neutral) / row.factor), isNeutral = Math.abs(value * row.factor - row.neutral) < 1e-9;
      changed ||= !isNeutral;
      if (document.activeElement !== row.number) { row.number.value = String(value); }
      if (!row.slider.matches(':active')) { row.slider.value = String(value); }
      row.slider.setAttribute('aria-valuetext', String(value));
      row.back.disabled = isNeutral;
      row.slider.disabled = row.number.disabled = !ready();
    }
    reset.disabled = !changed;
    const more = ready() ? m.after - m.afterWithoutTrim : 0;
    cost.textContent = !ready() ? '' : changed ? `Against camera A: Delta E ${dE(m.after)} with the trim, ${dE(m.afterWithoutTrim)} without (${more >= 0 ? '+' : '−'}${Math.abs(more).toFixed(2)}).` : `Delta E ${dE(m.after)} against camera A.`;
  },
};
