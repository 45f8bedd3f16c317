// What several panels say.
// @ts-check
import { dE, h } from '/web/state/dom.js';
import { change, clip, match, state } from '/web/state/store.js';
import { startMatch } from '/web/views/clips/view.js';

/** Which clip of camera B is looked at, where there are several. */
export function chooser() {
  const all = state.session.secondaries;
  return all.length < 2 ? null : h('label.field', {}, 'Camera B', h('select', { 'data-key': 'chooser', change: e => { change({ current: e.target.value, pairs: {} }); document.dispatchEvent(new Event('another')); } },
    all.map(m => h('option', { value: m.clip, selected: m.clip === state.current }, clip(m.clip)?.name ?? m.clip))));
}

/** There is no match, or it is of older decisions: one button. */
export function needsMatch() {
  const m = match(), running = Object.values(state.jobs).some(j => j.kind === 'match' && j.status === 'running');
  if (running) { return h('p.hint', {}, 'The match is being made …'); }
  if (!m || m.status === 'none') { return h('div.call', {}, h('p', {}, 'These clips are not matched yet.'), h('button.main', { type: 'button', 'data-key': 'match', click: startMatch }, 'Match')); }
  return m.status === 'stale' ? h('div.call', {}, h('p', {}, 'The clips, or what you decided about them, changed: they must be analysed again.'), h('button.main', { type: 'button', 'data-key': 'match', click: startMatch }, 'Match again')) : null;
}

/** The verdict's figure, large, with its meaning. */
export function figure() {
  const m = match();
  if (!m || m.status === 'none') { return null; }
  return h('div.figure', {}, h('p', {}, h('strong', {}, dE(m.figure)), h('span', {}, ' Delta E')),
    h('p', {}, m.headline), h('p.small', {}, `As recorded ${dE(m.before)}.`),
    m.reasons.length ? h('ul.warnings', {}, m.reasons.map(r => h('li', {}, r))) : null);
}
