// The same colours: what was compared, as a list and in both pictures; taken out and in, marked, weighed.
// @ts-check
import { at, get } from '/web/api/server.js';
import { clock, dE, fill, h, s } from '/web/state/dom.js';
import { decideHere } from '/web/state/session.js';
import { change, decisions, match, ready, state } from '/web/state/store.js';
import { A, B, beside } from '/web/gl/stage.js';
import { loadPairs } from '/web/views/look/view.js';
import { chooser, figure, needsMatch } from '/web/views/shared.js';
import { drawTool, startTool, toolForm, toolPointer } from '/web/views/colours/tools.js';

const FEW = 40;
let drawn = '', ringsOf = '';

const list = () => (state.pairs[state.current]?.list ?? []).slice().sort((p, q) => Number(q.isMarked) - Number(p.isMarked) || q.after - p.after);

function take(id) {
  decideHere(m => { m.leftOut = m.leftOut.includes(id) ? m.leftOut.filter(x => x !== id) : [...m.leftOut, id]; });
}

function choose(p, stage) {
  change({ colours: { ...state.colours, chosen: state.colours.chosen === p.id ? null : p.id } });
  if (p.a && Math.abs(p.t - state.t) > 0.02) { stage.seek(p.t + 1e-4); }
}

async function rings(stage) {
  const key = JSON.stringify([state.current, state.t, match()?.lutVersion]);
  if (!state.colours.uncovered || key === ringsOf || !ready()) { return; }
  ringsOf = key;
  const found = await get(at('/api/uncovered', { clip: state.current, of: state.current, t: state.t }));
  if (found) { change({ colours: { ...state.colours, uncovered: found } }); stage.draw(); }
}

function overlay(stage, rects) {
  const [ra, rb] = rects, here = list().filter(p => p.a && p.b && Math.abs(p.t - state.t) < 0.02), top = Math.max(2, ...here.map(p => p.after));
  const spot = (r, p) => ({ x: r.x + p[0] * r.w, y: r.y + p[1] * r.h });
  if (!state.colours.tool) {
    for (const p of here.slice(0, 300).reverse()) {
      const a = spot(ra, p.a), b = spot(rb, p.b), chosen = p.id === state.colours.chosen, kind = p.isOut ? 'out' : chosen ? 'chosen' : p.after > Math.max(4, top * 0.7) ? 'far' : 'near';
      if (chosen) { stage.overlay.append(s('path', { d: `M${a.x} ${a.y}L${b.x} ${b.y}`, class: 'link-dark' }), s('path', { d: `M${a.x} ${a.y}L${b.x} ${b.y}`, class: 'link' })); }
      for (const q of [a, b]) {
        const g = s('g', { class: `spot ${kind}`, click: () => choose(p, stage) }, s('circle', { cx: q.x, cy: q.y, r: 12, class: 'touch' }), s('circle', { cx: q.x, cy: q.y, r: chosen ? 9 : 5, class: 'dark' }), s('circle', { cx: q.x, cy: q.y, r: chosen ? 9 : 5 }));
        if (p.isOut) { g.append(s('path', { d: `M${q.x - 5} ${q.y - 5}l10 10m0-10l-10 10` })); }
        stage.overlay.append(g);
      }
    }
  }
  const rim = (state.colours.uncovered?.edges ?? []).map(([x0, y0, x1, y1]) => `M${rb.x + x0 * rb.w} ${rb.y + y0 * rb.h}L${rb.x + x1 * rb.w} ${rb.y + y1 * rb.h}`).join('');
  if (rim) { stage.overlay.append(s('path', { d: rim, class: 'ring-dark' }), s('path', { d: rim, class: 'ring' })); }
  drawTool(stage, rects);
}

function row(p, stage) {
  const d = decisions();
  return h(`li${p.isOut ? '.out' : ''}${p.id === state.colours.chosen ? '.chosen' : ''}`, {},
    h('button.name', { type: 'button', 'data-key': `p${p.id}`, 'aria-pressed': String(p.id === state.colours.chosen), click: () => choose(p, stage) },
      swatches(p), h('span', {}, p.label, p.isMarked ? ' (marked)' : '', h('small', {}, h('span.unseen', {}, ' at'), ` ${clock(p.t)}`))),
    h('span.number', {}, dE(p.after)),
    p.isMarked ? h('label', {}, h('span.unseen', {}, `Weight of ${p.label}`), h('select', { 'data-key': `w${p.id}`, change: e => decideHere(m => { m.weights = { ...m.weights, [p.group]: Number(e.target.value) }; }) },
      [0.5, 1, 2, 4, 8].map(v => h('option', { value: v, selected: (d?.weights[p.group] ?? 1) === v }, `× ${v}`)))) : null,
    p.isMarked ? h('button.quiet', { type: 'button', 'data-key': `r${p.id}`, 'aria-label': `Remove ${p.label}`, click: () => decideHere(m => { m.regions = m.regions.filter(r => r.name !== p.group); }) }, 'Remove')
      : h('button.quiet', { type: 'button', 'data-key': `o${p.id}`, 'aria-label': `${p.isOut ? 'Take in' : 'Take out'} ${p.label} at ${clock(p.t)}`, click: () => take(p.id) }, p.isOut ? 'Take in' : 'Take out'));
}

// Camera A, B as recorded, B matched: three patches side by side.
function swatches(p) {
  return s('svg', { viewBox: '0 0 42 20', class: 'swatches', 'aria-hidden': 'true' }, [p.colourA, p.colourB, p.colourMatched].map((c, i) => s('rect', { x: 14 * i, width: 14, height: 20, fill: c })));
}

export const colours = {
  title: 'The same colours',
  stage: true,
  enter(panel, stage) {
    drawn = ringsOf = '';
    stage.show = { layout: beside(A, B), overlay };
    const m = match();
    if (m?.moments.length && !m.moments.some(t => Math.abs(t - state.t) < 0.02)) { state.t = m.moments.reduce((q, t) => Math.abs(t - state.t) < Math.abs(q - state.t) ? t : q); }
    this.pointer = e => toolPointer(stage, e);
    for (const type of ['pointerdown', 'pointermove', 'pointerup', 'pointercancel']) { stage.area.addEventListener(type, this.pointer); }
  },
  leave(stage) {
    for (const type of ['pointerdown', 'pointermove', 'pointerup', 'pointercancel']) { stage.area.removeEventListener(type, this.pointer); }
    change({ colours: { ...state.colours, tool: null } });
  },
  render(panel, stage) {
    loadPairs();
    rings(stage);
    const m = match(), all = list(), d = decisions();
    const key = JSON.stringify([state.current, m?.status, m?.lutVersion, m?.after, m?.heldOut, state.pairs[state.current]?.version, all.length, state.colours, d, state.t, Object.values(state.jobs).filter(j => j.status === 'running').length]);
    if (key === drawn) { return; }
    drawn = key;
    const shown = state.colours.showAll ? all : all.slice(0, FEW), out = all.filter(p => p.isOut).length;
    fill(panel, h('h1', { id: 'title' }, 'The same colours'), chooser(), needsMatch(), figure(),
      m && m.status !== 'none' ? [
        h('p', {}, `${m.source}.${out ? ` ${out} taken out.` : ''}${m.fitMilliseconds ? ` Fitted in ${Math.round(m.fitMilliseconds)} ms.` : ''}`),
        state.colours.tool ? toolForm(stage) : h('div.row', {},
          h('button', { type: 'button', id: 'mark', 'data-key': 'mark', click: () => startTool('box', stage) }, 'Mark a region'),
          h('button', { type: 'button', 'data-key': 'polygon', click: () => startTool('polygon', stage) }, 'Mark by corners'),
          h('button', { type: 'button', 'data-key': 'chart', click: () => startTool('chart', stage) }, 'Set the chart’s corners'),
          d?.primaryChart || d?.secondaryChart ? h('button', { type: 'button', 'data-key': 'nochart', click: () => decideHere(x => { x.primaryChart = x.secondaryChart = null; x.at = []; x.method = null; }) }, 'Find the chart again') : null),
        h('label.check', {}, h('input', { type: 'checkbox', 'data-key': 'rings', checked: Boolean(state.colours.uncovered), change: e => { ringsOf = ''; change({ colours: { ...state.colours, uncovered: e.target.checked ? { edges: [], share: 0 } : null } }); } }),
          'Outline what no sample covers', state.colours.uncovered ? h('small', {}, ` ${Math.round(100 * state.colours.uncovered.share)} % of camera B’s picture here`) : null),
        m.moments.length > 1 ? h('div.moments', {}, h('span', {}, 'Moments compared'), m.moments.map((t, i) => h('button', { type: 'button', 'data-key': `m${i}`, 'aria-pressed': String(Math.abs(t - state.t) < 0.02), click: () => stage.seek(t + 1e-4) }, clock(t)))) : null,
        h('h2', {}, 'Pairs, largest difference first'), h('p.small', {}, 'Patches: camera A, B as recorded, B matched. The number is the remaining Delta E.'),
        h('ul.pairs', {}, shown.map(p => row(p, stage))),
        all.length > FEW ? h('button', { type: 'button', 'data-key': 'all', click: () => change({ colours: { ...state.colours, showAll: !state.colours.showAll } }) }, state.colours.showAll ? 'Show only the farthest' : `Show all ${all.length}`) : null,
        out ? h('button', { type: 'button', 'data-key': 'allin', click: () => decideHere(x => { x.leftOut = []; }) }, 'Take all in again') : null,
      ] : null);
  },
};
