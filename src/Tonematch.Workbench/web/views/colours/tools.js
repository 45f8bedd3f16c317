// Marking by pointer or by numbers: a box or a polygon in both pictures, or the four corners of a chart.
// @ts-check
import { h, s } from '/web/state/dom.js';
import { decideHere } from '/web/state/session.js';
import { change, clip, decisions, say, state } from '/web/state/store.js';

/** @type {null | {kind: string, name: string, a: number[][], b: number[][], drag: any, focus: any}} */
let tool = null;
const SIDES = ['a', 'b'];
const limit = v => Math.min(1, Math.max(0, v));

export function startTool(kind, stage) {
  const square = (x, y, w, hh) => [[x, y], [x + w, y], [x + w, y + hh], [x, y + hh]];
  tool = { kind, name: '', drag: null, focus: null, a: kind === 'polygon' ? [] : square(0.45, 0.45, 0.1, 0.1), b: kind === 'polygon' ? [] : square(0.45, 0.45, 0.1, 0.1) };
  if (kind === 'chart') {
    const d = decisions();
    const shares = (corners, id) => corners?.map(([x, y]) => [x / clip(id).width, y / clip(id).height]);
    tool.a = shares(d?.primaryChart, state.session.primary) ?? square(0.4, 0.4, 0.2, 0.2);
    tool.b = shares(d?.secondaryChart, state.current) ?? square(0.4, 0.4, 0.2, 0.2);
  }
  change({ colours: { ...state.colours, tool: kind, version: (state.colours.version ?? 0) + 1 } });
  stage.draw();
}

function end(stage) {
  tool = null;
  change({ colours: { ...state.colours, tool: null } });
  stage.draw();
}

function touched(stage, spoken = '') {
  change({ colours: { ...state.colours, version: (state.colours.version ?? 0) + 1, spoken } });
  stage.draw();
}

export function drawTool(stage, rects) {
  if (!tool) { return; }
  SIDES.forEach((side, i) => {
    const r = rects[i], points = tool[side].map(([x, y]) => [r.x + x * r.w, r.y + y * r.h]);
    if (points.length > 1) {
      const d = `M${points.map(p => p.join(' ')).join('L')}${points.length > 2 ? 'Z' : ''}`;
      stage.overlay.append(s('path', { d, class: 'region-dark' }), s('path', { d, class: 'region' }));
    }
    points.forEach(([x, y]) => stage.overlay.append(s('circle', { cx: x, cy: y, r: 7, class: 'corner-dark' }), s('circle', { cx: x, cy: y, r: 7, class: 'corner' })));
  });
  const { side, corner } = tool.drag ?? tool.focus ?? {}, point = side && tool[side][corner];
  if (point) { magnify(stage, rects[SIDES.indexOf(side)], side, point); }
}

const GLASS = 132, ZOOM = 5;

// The place under a corner, five times as large, in the half of the picture where the corner is not.
function magnify(stage, r, side, [px, py]) {
  const size = Math.min(GLASS, r.w * 0.45, r.h * 0.6), w = size / (r.w * ZOOM), hh = size / (r.h * ZOOM), x = px > 0.5 ? r.x + 8 : r.x + r.w - size - 8, y = r.y + r.h - size - 8;
  if (!stage.gl) { return; }
  stage.gl.draw({ x, y, w: size, h: size }, side, side, 1, [px - w / 2, py - hh / 2, w, hh]);
  const cross = `M${x + size / 2} ${y}v${size / 2 - 7}m0 14v${size / 2 - 7}M${x} ${y + size / 2}h${size / 2 - 7}m14 0h${size / 2 - 7}`;
  stage.overlay.append(s('path', { d: cross, class: 'link-dark' }), s('path', { d: cross, class: 'link' }), ...['ring-dark', 'ring'].map(c => s('rect', { x, y, width: size, height: size, class: `${c} glass` })));
}

/** Corners are dragged; a box is drawn anew by dragging elsewhere; a polygon gets a corner by a tap. */
export function toolPointer(stage, e) {
  if (!tool) { return; }
  const box = stage.area.getBoundingClientRect(), x = e.clientX - box.left, y = e.clientY - box.top;
  if (e.type === 'pointerdown') {
    const i = stage.rects.findIndex(r => x >= r.x - 8 && y >= r.y - 8 && x <= r.x + r.w + 8 && y <= r.y + r.h + 8);
    if (i < 0 || i > 1) { return; }
    const r = stage.rects[i], side = SIDES[i], at = [limit((x - r.x) / r.w), limit((y - r.y) / r.h)];
    const corner = tool[side].findIndex(([cx, cy]) => Math.hypot(r.x + cx * r.w - x, r.y + cy * r.h - y) < 14);
    e.preventDefault();
    stage.area.setPointerCapture(e.pointerId);
    if (corner >= 0) { tool.drag = { side, r, corner }; }
    else if (tool.kind === 'box') { tool[side] = [at, at, at, at].map(p => [...p]); tool.drag = { side, r, from: at, corner: 2 }; }
    else if (tool.kind === 'polygon' && tool[side].length < 40) { tool[side].push(at); tool.drag = { side, r, corner: tool[side].length - 1 }; }
    stage.draw();
  } else if (tool.drag && e.type === 'pointermove') {
    const { side, r, corner, from } = tool.drag, at = [limit((x - r.x) / r.w), limit((y - r.y) / r.h)];
    if (from) { tool[side] = [[from[0], from[1]], [at[0], from[1]], [at[0], at[1]], [from[0], at[1]]]; }
    else if (tool.kind === 'box') {
      // The corner across stays where it is.
      const [ox, oy] = tool[side][(corner + 2) % 4];
      tool[side] = [[at[0], at[1]], [ox, at[1]], [ox, oy], [at[0], oy]];
      tool.drag.corner = 0;
    } else { tool[side][corner] = at; }
    stage.draw();
  } else if (tool.drag) {
    tool.drag = null;
    touched(stage);
  }
}

function number(label, value, set, size) {
  return h('label', {}, label, h('input', { type: 'number', step: 1, min: 0, max: size, 'data-key': `n${label}`, value: Math.round(value * size), change: e => set(limit(Number(e.target.value) / size)) }));
}

function fields(side, stage) {
  const c = clip(side === 'a' ? state.session.primary : state.current), points = tool[side], name = `Camera ${side.toUpperCase()}`;
  if (tool.kind === 'box') {
    const xs = points.map(p => p[0]), ys = points.map(p => p[1]), [x, y] = [Math.min(...xs), Math.min(...ys)], [w, hh] = [Math.max(...xs) - x, Math.max(...ys) - y];
    const set = (i, v) => { const q = [x, y, w, hh]; q[i] = v; tool[side] = [[q[0], q[1]], [q[0] + q[2], q[1]], [q[0] + q[2], q[1] + q[3]], [q[0], q[1] + q[3]]].map(p => p.map(limit)); touched(stage); };
    return h('fieldset.corners', {}, h('legend', {}, `${name}, pixels`),
      number(`${side} left`, x, v => set(0, v), c.width), number(`${side} top`, y, v => set(1, v), c.height), number(`${side} width`, w, v => set(2, v), c.width), number(`${side} height`, hh, v => set(3, v), c.height));
  }
  return h('fieldset.corners', {}, h('legend', {}, `${name}, pixels`), points.map((p, i) => h('div.corner', {
    tabindex: '0', role: 'group', 'data-key': `c${side}${i}`, 'aria-label': `${name}, corner ${i + 1} of ${points.length}: ${Math.round(p[0] * c.width)}, ${Math.round(p[1] * c.height)}. Arrow keys move it.`,
    focusin: () => { if (tool) { tool.focus = { side, corner: i }; stage.draw(); } },
    focusout: () => { if (tool) { tool.focus = null; } },
    keydown: e => {
      const by = e.shiftKey ? 10 : 1, step = { ArrowLeft: [-by, 0], ArrowRight: [by, 0], ArrowUp: [0, -by], ArrowDown: [0, by] }[e.key];
      if (!step || e.target instanceof HTMLInputElement) { return; }
      e.preventDefault();
      tool[side][i] = [limit(p[0] + step[0] / c.width), limit(p[1] + step[1] / c.height)];
      touched(stage, `Corner ${i + 1} of ${points.length}: ${Math.round(tool[side][i][0] * c.width)}, ${Math.round(tool[side][i][1] * c.height)}`);
    },
  }, h('span', {}, String(i + 1)), number(`${side}${i + 1} x`, p[0], v => { tool[side][i][0] = v; touched(stage); }, c.width), number(`${side}${i + 1} y`, p[1], v => { tool[side][i][1] = v; touched(stage); }, c.height))),
    tool.kind === 'polygon' ? h('button', { type: 'button', 'data-key': `add${side}`, click: () => { tool[side].push([0.5, 0.5]); touched(stage); } }, `Add a corner in ${side.toUpperCase()}`) : null);
}

export function toolForm(stage) {
  if (!tool) { return null; }
  const words = { box: 'Draw the same thing in both pictures: a plain part of one colour.', polygon: 'Tap the corners of the same thing in both pictures.', chart: 'Drag the chart’s four corners in both pictures, or use the arrow keys and numbers.' };
  return h('form.tool', { submit: e => { e.preventDefault(); finish(stage, new FormData(e.target)); } },
    h('p.hint', {}, words[tool.kind]), h('p.unseen', { 'aria-live': 'polite' }, state.colours.spoken ?? ''),
    tool.kind === 'chart' ? null : h('label.field', {}, 'What is it?', h('input', { type: 'text', name: 'name', 'data-key': 'name', value: tool.name, maxlength: 40, placeholder: 'face, dress, wall …', input: e => { tool.name = e.target.value; } })),
    fields('a', stage), fields('b', stage),
    h('div.row', {}, h('button.main', { type: 'submit', 'data-key': 'done' }, tool.kind === 'chart' ? 'Use these corners' : 'Add it'), h('button', { type: 'button', 'data-key': 'leave', click: () => end(stage) }, 'Leave it')));
}

function finish(stage, form) {
  const area = points => Math.abs(points.reduce((sum, p, i) => { const q = points[(i + 1) % points.length]; return sum + p[0] * q[1] - q[0] * p[1]; }, 0)) / 2;
  if (SIDES.some(side => tool[side].length < 3 || area(tool[side]) < 1e-5)) { say('Mark it in both pictures first: at least three corners, and not too small.', 'trouble'); return; }
  const { kind, a, b } = tool;
  if (kind === 'chart') {
    const pixels = (points, id) => points.map(([x, y]) => [Math.round(x * clip(id).width * 10) / 10, Math.round(y * clip(id).height * 10) / 10]);
    decideHere(m => { m.primaryChart = pixels(a, state.session.primary); m.secondaryChart = pixels(b, state.current); m.at = [state.t.toFixed(4)]; m.method = 'chart'; });
  } else {
    const taken = decisions()?.regions.map(r => r.name) ?? [], wanted = String(form.get('name') ?? '').trim() || 'region';
    let name = wanted;
    for (let i = 2; taken.includes(name); i++) { name = `${wanted} ${i}`; }
    const still = clip(state.session.primary)?.isStill;
    decideHere(m => { m.regions = [...m.regions, { name, primary: a, secondary: b, at: still ? null : Math.round(state.t * 1e4) / 1e4 }]; });
  }
  end(stage);
}
