// Look: the match on the pictures, in six ways, over time, by every kind of correction, and as a signal.
// @ts-check
import { at, bytes, get } from '/web/api/server.js';
import { dE, fill, h, s } from '/web/state/dom.js';
import { decideHere } from '/web/state/session.js';
import { change, decisions, match, ready, state } from '/web/state/store.js';
import { A, B, MATCHED, beside, fit, single } from '/web/gl/stage.js';
import { plane, vectorscope, waveform } from '/web/gl/plots.js';
import { chooser, figure, needsMatch } from '/web/views/shared.js';

const MODES = {
  divided: 'As recorded | matched', beside: 'A beside matched B', turn: 'A and B in turn', detail: 'A detail', change: 'What the match changes',
};
// Three changes a second is the limit for viewers who are sensitive to flashes (ITU-R BT.1702).
const SLOWEST = 1000 / 3;
let lastTurn = 0, timer = 0, drawn = '', mapOf = '', mapSays = '', plotsOf = '', point = null, placeInA = null, pointWanted = null;

function turn() {
  const now = performance.now();
  if (now - lastTurn < SLOWEST) { return; }
  lastTurn = now;
  change({ look: { ...state.look, turn: state.look.turn === 'a' ? 'b' : 'a' } });
}

function byItself(on) {
  clearInterval(timer);
  timer = on ? setInterval(turn, 1000) : 0;
  drawn = '';
  change();
}

function layout(stage, w, hgt) {
  const { mode, split, turn: side, detail } = state.look;
  if (mode === 'beside') { return beside(A, MATCHED)(stage, w, hgt); }
  if (mode === 'turn') { return side === 'a' ? single(() => state.session.primary, A)(stage, w, hgt) : single(() => state.current, MATCHED)(stage, w, hgt); }
  if (mode === 'change') { return single(() => state.current, () => ({ left: stage.gl?.pictures.change ? 'change' : 'b', label: 'Camera B: how far the match moves each colour' }))(stage, w, hgt); }
  if (mode === 'detail') {
    const d = detail ?? usual();
    const across = w > hgt * 1.2, n = 3, gap = 8, side2 = across ? Math.min((w - gap * 2) / n, hgt) : Math.min(w, (hgt - gap * 2) / n);
    return [[A(), d.a, state.session.primary], [B(), d.b, state.current], [MATCHED(), d.b, state.current]].map(([extra, c, id], i) => {
      const clip = state.server.clips.find(x => x.id === id), aspect = clip ? clip.width / clip.height : 1;
      const cw = d.size, ch = d.size * aspect;
      const r = fit(1, across ? (w - (side2 * n + gap * 2)) / 2 + i * (side2 + gap) : 0, across ? 0 : i * (side2 + gap), across ? side2 : w, across ? hgt : side2);
      return { ...r, ...extra, crop: [c[0] - cw / 2, c[1] - ch / 2, cw, ch] };
    });
  }
  return single(() => state.current, () => ready() ? { left: 'b', right: 'matched', split, label: 'Camera B, as recorded', label2: 'matched' } : B())(stage, w, hgt);
}

// Where both saw the same thing: skin if there is any among the samples, else the first of them.
function usual() {
  const here = (state.pairs[state.current]?.list ?? []).filter(p => p.a && p.b && Math.abs(p.t - state.t) < 0.02), p = here.find(q => q.label.includes('skin')) ?? here[0];
  return p ? { a: p.a.slice(0, 2), b: p.b.slice(0, 2), size: 0.25 } : { a: [0.5, 0.5], b: [0.5, 0.5], size: 0.25 };
}

function overlay(stage, rects) {
  if (point && state.look.mode !== 'detail') {
    const ring = (r, x, y) => stage.overlay.append(...['ring-dark', 'ring'].map(c => s('circle', { cx: r.x + x * r.w, cy: r.y + y * r.h, r: 7, class: c })));
    ring(rects[rects.length - 1], point.x, point.y);
    if (placeInA && rects.length > 1) { ring(rects[0], placeInA[0], placeInA[1]); }
  }
}

// Pictures that are asked for by what is shown: the map, the plots.
async function loadMap(stage) {
  const m = match(), key = JSON.stringify([state.current, state.t, m?.lutVersion, stage.made]);
  if (state.look.mode !== 'change' || !ready() || key === mapOf || !stage.gl || stage.player.playing) { return; }
  mapOf = key;
  const answer = await bytes(at('/api/difference', { clip: state.current, of: state.current, t: state.t, side: 960 }));
  if (!answer || key !== mapOf) { return; }
  stage.gl.setImage('change', await createImageBitmap(new Blob([answer.data], { type: 'image/png' }), { colorSpaceConversion: 'none' }));
  mapSays = `Dark is unchanged, light is Delta E ${answer.headers.get('X-Top')} or more; on average ${answer.headers.get('X-Mean')}.`;
  drawn = '';
  change();
}

function plots(panel, stage) {
  const box = panel.querySelector('.plots');
  if (!box || !state.look.plots || !stage.gl || stage.player.playing) { return; }
  const m = match(), key = JSON.stringify([stage.loaded, m?.lutVersion, stage.tableOf, state.pairs[state.current]?.version]);
  if (key === plotsOf) { return; }
  plotsOf = key;
  for (const name of ['a', ready() ? 'matched' : 'b']) {
    const picture = stage.gl.read(name), id = name === 'a' ? 'a' : 'b';
    if (!picture) { continue; }
    waveform(box.querySelector(`.light-${id}`), picture);
    waveform(box.querySelector(`.channels-${id}`), picture, true);
    vectorscope(box.querySelector(`.colour-${id}`), picture);
  }
  const pairs = state.pairs[state.current];
  if (pairs) { plane(box.querySelector('.plane'), pairs.list); }
}

/** The pairs of the match that is looked at, loaded when they are not there. */
export async function loadPairs() {
  const m = match(), id = state.current, have = state.pairs[id];
  if (!m || m.status === 'none' || (have && have.version === m.lutVersion) || loadPairs.busy) { return; }
  loadPairs.busy = true;
  const list = await get(at('/api/pairs', { of: id }));
  loadPairs.busy = false;
  if (list) { change({ pairs: { ...state.pairs, [id]: { version: m.lutVersion, list } } }); }
}
loadPairs.busy = false;

async function under(stage, e) {
  const box = stage.area.getBoundingClientRect(), x = e.clientX - box.left, y = e.clientY - box.top;
  if (state.look.mode === 'detail') {
    const i = stage.rects.findIndex(q => x >= q.x && y >= q.y && x < q.x + q.w && y < q.y + q.h);
    if (e.type !== 'click' || i < 0) { return; }
    const q = stage.rects[i], d = structuredClone(state.look.detail ?? usual());
    d[i ? 'b' : 'a'] = [q.crop[0] + (x - q.x) / q.w * q.crop[2], q.crop[1] + (y - q.y) / q.h * q.crop[3]];
    change({ look: { ...state.look, detail: d } });
    stage.draw();
    return;
  }
  const r = stage.rects.find(q => q.left !== 'a' && x >= q.x && y >= q.y && x < q.x + q.w && y < q.y + q.h);
  if (!r || !ready() || state.look.mode === 'detail' || stage.player.playing) { return; }
  const place = { x: (x - r.x) / r.w, y: (y - r.y) / r.h };
  if (e.type === 'click') { point = place; }
  await ask(place, stage);
}

async function ask(place, stage) {
  if (pointWanted) { pointWanted = place; return; }
  pointWanted = place;
  while (pointWanted) {
    const now = pointWanted;
    const p = await get(at('/api/point', { clip: state.current, of: state.current, t: state.t, x: now.x.toFixed(4), y: now.y.toFixed(4) }));
    const out = document.getElementById('point');
    if (p && out) {
      const codes = c => c.map(v => Math.round(v * 255)).join(', ');
      out.textContent = `At ${Math.round(now.x * 100)} %, ${Math.round(now.y * 100)} %: ${codes(p.recorded)} becomes ${codes(p.matched)}, moved by Delta E ${dE(p.moved)}. ${p.a ? `Camera A has ${codes(p.a.colour)} at the same place: Delta E ${dE(p.a.after)} is left of ${dE(p.a.before)}.` : p.near ? `The sample most like it (${p.near}) differs from camera A by ${dE(p.nearAfter)} after the match.` : 'No sample is near this colour: the match is estimated from other colours.'}`;
    }
    if (p && point === now) { placeInA = p.a?.place ?? null; stage.draw(); }
    pointWanted = pointWanted === now ? null : pointWanted;
  }
}

function nextWeak() {
  const weak = match().overTime.filter(i => i.grade !== 'holds');
  const next = weak.find(i => i.t > state.t + 0.05) ?? weak[0];
  if (next) { document.dispatchEvent(new CustomEvent('seek', { detail: next.t })); }
}

const field = (name, index, label) => h('label', {}, label, h('input', { type: 'number', min: 0, max: 100, step: 1, 'data-key': `detail${name}${index}`,
  value: Math.round(100 * (state.look.detail ?? usual())[name][index]),
  change: e => { const d = structuredClone(state.look.detail ?? usual()); d[name][index] = Number(e.target.value) / 100; change({ look: { ...state.look, detail: d } }); } }));

/** The kinds of correction with their honest figures. */
export function kinds() {
  const m = match(), d = decisions(), places = m.kinds.some(k => k.unseenPlaces !== null);
  return h('fieldset.kinds', {}, h('legend', {}, 'Kinds of correction'),
    h('p.hint', {}, places ? 'Delta E on colours that had no part in the fit, and in places that had none.' : 'Delta E on colours that had no part in the fit.'),
    h('label', {}, h('input', { type: 'radio', name: 'kind', 'data-key': 'kind', checked: !d.model, change: () => decideHere(x => { x.model = null; }) }), h('span', {}, 'The advised one'), h('span.number', {})),
    m.kinds.map(k => h('label', { class: k.why ? 'off' : '' },
      h('input', { type: 'radio', name: 'kind', 'data-key': `kind${k.name}`, disabled: Boolean(k.why), checked: d.model === k.name, change: () => decideHere(x => { x.model = k.name; }) }),
      h('span', {}, k.title, k.name === m.chosen ? h('em', {}, ' in use') : null, k.name === m.advised ? h('em', {}, ' advised') : null, k.why ? h('small', {}, k.why) : null),
      k.why ? null : [h('span.number', {}, dE(k.heldOut ?? k.train)), places ? h('span.number', {}, k.unseenPlaces === null ? '–' : dE(k.unseenPlaces)) : null])));
}

function signal() {
  const kinds = [['light', 'Waveform: light from left to right of the picture'], ['channels', 'Parade: red, green, blue'], ['colour', 'Vectorscope: colours by their distance from grey']];
  const one = (name, title, c) => h('div', {}, h('canvas', { class: `${name}-${c}`, role: 'img', 'aria-label': `${title}, camera ${c.toUpperCase()}` }), h('span', {}, c === 'a' ? 'Camera A' : 'Camera B, matched'));
  return h('details.signal', { open: state.look.plots, toggle: e => { if (e.target.open !== state.look.plots) { change({ look: { ...state.look, plots: e.target.open } }); } } },
    h('summary', {}, 'Signal plots'),
    h('div.plots', {},
      kinds.map(([name, title]) => h('figure', {}, h('figcaption', {}, title), h('div.two', {}, one(name, title, 'a'), one(name, title, 'b')))),
      h('figure', {}, h('figcaption', {}, 'The samples on CIELAB’s plane: rings camera A, dots camera B matched'), h('canvas.plane', { role: 'img', 'aria-label': 'The samples on the a* b* plane' }))));
}

export const look = {
  title: 'Look',
  stage: true,
  enter(panel, stage) {
    drawn = plotsOf = '';
    stage.show = { layout, overlay, line: true };
    this.move = e => under(stage, e);
    this.seek = e => stage.seek(e.detail);
    stage.area.addEventListener('pointermove', this.move);
    stage.area.addEventListener('click', this.move);
    document.addEventListener('seek', this.seek);
  },
  leave(stage) {
    clearInterval(timer);
    timer = 0;
    point = placeInA = null;
    stage.area.removeEventListener('pointermove', this.move);
    stage.area.removeEventListener('click', this.move);
    document.removeEventListener('seek', this.seek);
  },
  render(panel, stage) {
    if (timer && matchMedia('(prefers-reduced-motion: reduce)').matches) { byItself(false); }
    loadMap(stage);
    if (state.look.plots || state.look.mode === 'detail') { loadPairs(); }
    const m = match(), calm = matchMedia('(prefers-reduced-motion: reduce)').matches;
    const key = JSON.stringify([state.current, m, state.look.mode, state.look.detail, state.look.plots, state.look.turn, decisions()?.model, Object.values(state.jobs).filter(j => j.status === 'running').length, timer > 0, calm]);
    if (key !== drawn) {
      drawn = key;
      plotsOf = '';
      const weak = m?.overTime.filter(i => i.grade !== 'holds') ?? [];
      fill(panel,
        h('h1', { id: 'title' }, 'Look'), chooser(), needsMatch(), figure(),
        h('fieldset.modes', {}, h('legend', {}, 'View'), Object.entries(MODES).map(([name, title]) => h('label', {},
          h('input', { type: 'radio', name: 'mode', 'data-key': `mode${name}`, checked: state.look.mode === name, disabled: name === 'change' && (!ready() || !stage.gl), change: () => { clearInterval(timer); timer = 0; change({ look: { ...state.look, mode: name } }); } }), h('span', {}, title)))),
        state.look.mode === 'turn' ? h('div.row', {}, h('button', { type: 'button', 'data-key': 'turn', click: turn }, `Show camera ${state.look.turn === 'a' ? 'B' : 'A'}`),
          calm ? null : h('button', { type: 'button', 'data-key': 'itself', 'aria-pressed': String(timer > 0), click: () => byItself(!timer) }, 'Change once a second')) : null,
        state.look.mode === 'detail' ? h('div.fields', {}, h('p.hint', {}, 'Tap a picture to move its middle there, or give it in percent from the left and from the top.'),
          field('a', 0, 'A, left'), field('a', 1, 'A, top'), field('b', 0, 'B, left'), field('b', 1, 'B, top'),
          h('label', {}, 'Size', h('input', { type: 'range', min: 5, max: 100, step: 1, 'data-key': 'size', value: 100 * (state.look.detail?.size ?? 0.25), input: e => { const d = state.look.detail ?? usual(); state.look.detail = { ...d, size: Number(e.target.value) / 100 }; stage.draw(); } }))) : null,
        state.look.mode === 'change' && mapSays ? h('p.hint', {}, mapSays) : null,
        ready() ? kinds() : null,
        m?.overTime.length ? h('div', {}, h('h2', {}, 'Over time'), h('p', {}, weak.length ? `${m.overTime.length - weak.length} of ${m.overTime.length} instants hold; ${weak.filter(i => i.grade === 'fails').length} fail.` : `The match holds at all ${m.overTime.length} instants examined.`, m.overTimeIsCurrent ? '' : ' (For the previous correction; it is being checked again.)'),
          weak.length ? h('button', { type: 'button', 'data-key': 'weak', click: nextWeak }, 'To the next weak moment') : null) : null,
        ready() && state.look.mode !== 'detail' ? h('div', {}, h('h2', {}, 'One colour'), h('p.hint', { id: 'point' }, 'Point at camera B’s picture, or give a place. Inside a pair of this moment it is compared with the same place in camera A, elsewhere with the most similar sample.'),
          h('form.row', { submit: e => { e.preventDefault(); const f = new FormData(e.target); point = { x: Number(f.get('x')) / 100, y: Number(f.get('y')) / 100 }; placeInA = null; ask(point, stage); stage.draw(); } },
            h('label', {}, 'left %', h('input', { type: 'number', name: 'x', min: 0, max: 100, value: 50 })), h('label', {}, 'top %', h('input', { type: 'number', name: 'y', min: 0, max: 100, value: 50 })), h('button', { type: 'submit' }, 'Read'))) : null,
        stage.gl ? signal() : null,
        m?.warnings.length ? h('details', { open: m.warnings.length < 3 }, h('summary', {}, 'What to know before you use it'), h('ul.warnings', {}, m.warnings.map(w => h('li', {}, w)))) : null);
    }
    plots(panel, stage);
  },
};
