// The pictures: one area on neutral grey, its overlay, and the time line below it. Views decide what is shown.
// @ts-check
import { Canvas } from '/web/gl/canvas.js';
import { fallback } from '/web/gl/fallback.js';
import { Player } from '/web/gl/player.js';
import { at, bytes } from '/web/api/server.js';
import { clock, h, s } from '/web/state/dom.js';
import { change, clip, decisions, match, range, ready, state } from '/web/state/store.js';

const GAP = 8;

export class Stage {
  /** @param {HTMLElement} root */
  constructor(root) {
    this.root = root;
    this.canvas = h('canvas', { id: 'picture', tabindex: '0', role: 'img', 'aria-label': 'Pictures of camera A and camera B' });
    this.overlay = s('svg', { class: 'overlay', 'aria-hidden': 'true' });
    this.note = h('p.note', { id: 'exactness' });
    this.line = h('input.line', { type: 'range', min: '0', max: '100', value: '50', 'aria-label': 'Dividing line between as recorded and matched', 'aria-orientation': 'horizontal' });
    this.line.addEventListener('input', () => change({ look: { ...state.look, split: Number(this.line.value) / 100 } }));
    this.area = h('div.area', {}, this.canvas, this.overlay, this.line);
    this.labels = h('div.labels', { 'aria-hidden': 'true' });
    this.area.append(this.labels);
    this.slider = h('input.clock', { type: 'range', min: '0', max: '1', step: 'any', value: '0', 'aria-label': 'Time in camera A' });
    this.slider.addEventListener('input', () => this.seek(Number(this.slider.value), true));
    this.slider.addEventListener('change', () => this.seek(Number(this.slider.value)));
    this.reading = h('output.reading');
    this.play = h('button', { type: 'button', id: 'play', click: () => this.player.toggle() }, 'Play');
    this.bandHolder = h('div.band');
    this.bar = h('div.bar', {},
      h('div.keys', { role: 'group', 'aria-label': 'Time' },
        h('button.round', { type: 'button', 'aria-label': 'One frame back', click: () => this.step(-1) }, s('svg', { viewBox: '0 0 16 16', 'aria-hidden': 'true' }, s('path', { d: 'M10.5 3 5.5 8l5 5' }))),
        this.play,
        h('button.round', { type: 'button', 'aria-label': 'One frame on', click: () => this.step(1) }, s('svg', { viewBox: '0 0 16 16', 'aria-hidden': 'true' }, s('path', { d: 'M5.5 3l5 5-5 5' })))),
      h('div.track', {}, this.bandHolder, this.slider), this.reading);
    root.append(this.area, this.note, this.bar);
    /** What a view shows: it draws and returns the rectangles for its overlay. @type {null | {layout: (stage: Stage, w: number, h: number) => any[], overlay?: (stage: Stage, rects: any[]) => void, note?: string, line?: boolean}} */
    this.show = null;
    this.rects = [];
    this.drawn = 0;
    this.tableOf = '';
    this.wanted = {};
    this.make();
    this.player = new Player(this);
    new ResizeObserver(() => this.draw()).observe(this.area);
    this.canvas.addEventListener('webglcontextlost', e => {
      e.preventDefault();
      this.player.stop();
      this.gl = null;
      this.useFallback('The graphics driver lost the picture; the server draws it for now.');
      this.refresh();
    });
    this.canvas.addEventListener('webglcontextrestored', () => { this.make(); this.tableOf = this.loaded = ''; this.refresh(); change(); });
    this.canvas.addEventListener('keydown', e => {
      if (e.key === ',' || e.key === 'ArrowLeft') { this.step(-1); e.preventDefault(); }
      if (e.key === '.' || e.key === 'ArrowRight') { this.step(1); e.preventDefault(); }
    });
  }

  make() {
    try {
      this.gl = new Canvas(this.canvas);
      this.made = (this.made ?? 0) + 1;
      this.fallback?.end();
      this.fallback = null;
    } catch {
      this.gl = null;
      this.useFallback('This browser has no WebGL2: the server draws still pictures instead.');
    }
  }

  useFallback(why) {
    this.fallback ??= fallback(this);
    this.whyFallback = why;
    this.draw();
  }

  /** Longest side of requested frames: what the area can show, in steps, so that cached frames can be used again. */
  get side() {
    const ratio = Math.min(devicePixelRatio || 1, 2), wide = Math.max(this.area.clientWidth, 320) * ratio;
    return wide <= 700 ? 640 : wide <= 1400 ? 1280 : 1920;
  }

  /** Shows camera A's frame at a time, and camera B's of the same moment. */
  async seek(t, moving = false) {
    const [from, to] = range();
    t = Math.min(Math.max(t, from), Math.max(from, to));
    this.player.stop();
    change({ t });
    await this.refresh(moving);
  }

  async step(by) {
    const a = clip(state.session?.primary);
    if (!a || a.isStill) { return; }
    this.player.stop();
    const frame = await this.load('a', { clip: a.id, t: state.t, step: by, side: this.side });
    if (frame) {
      const [from, to] = range();
      change({ t: Math.min(Math.max(frame.seconds + 1e-4, from), to) });
      await this.refresh(false, Math.sign(by));
    }
  }

  /**
   * Loads what belongs to the time, and draws. Half-sized while a handle moves; 'ahead' is the direction of stepping, in
   * which the server decodes some more frames at once.
   */
  async refresh(moving = false, ahead = 0) {
    const a = state.session?.primary, b = state.current;
    this.timeBar();
    if (!a || !b || this.root.hidden) { return; }
    const side = moving ? 640 : this.side, own = state.view === 'time' ? state.time.own : null, offset = state.view === 'time' ? state.time.offset : null;
    const bTime = own !== null ? { t: own } : offset !== null ? { t: Math.max(0, state.t + offset + 0.5 / (clip(b)?.rate || 25)) } : { t: state.t, of: b };
    const key = JSON.stringify([a, b, state.t, side, bTime]);
    if (this.fallback) { await this.fallback.load(a, b, bTime); await this.table(); this.draw(); return; }
    this.asked = key;
    const [one, other] = await Promise.all([
      this.loaded === key || this.load('a', { clip: a, t: state.t, side }),
      this.loaded === key || this.load('b', { clip: b, ...bTime, side, ahead }),
      this.table(),
    ]);
    if (this.asked !== key) { return; }
    this.loaded = one && other ? key : '';
    this.draw();
  }

  // The newest request wins: an older one of the same camera is cancelled, and the server stops decoding.
  async load(name, query) {
    this.wanted[name]?.abort();
    const mine = this.wanted[name] = new AbortController();
    const answer = await bytes(at('/api/frame', query), mine.signal);
    if (mine.signal.aborted) { return null; }
    if (!answer) { this.gl?.forget(name); return null; }
    const header = JSON.parse(answer.headers.get('X-Frame'));
    this.gl?.setFrame(name, header, answer.data);
    return header;
  }

  /** The table of the latest fit. */
  async table() {
    const m = match();
    if (!m || !ready()) { return; }
    const key = `${m.clip}:${m.lutVersion}`;
    if (key === this.tableOf) { return; }
    this.tableOf = key;
    if (!this.gl) { return; }
    const answer = await bytes(at('/api/lut', { of: m.clip }), undefined, true);
    if (answer && this.gl) { this.gl.setTable(new Float32Array(answer.data.buffer), Number(answer.headers.get('X-Size'))); }
  }

  /** Draws what the view wants. */
  draw() {
    if (this.root.hidden || !this.show || this.area.clientWidth < 2) { return; }
    const w = this.area.clientWidth, hgt = this.area.clientHeight;
    this.overlay.setAttribute('viewBox', `0 0 ${w} ${hgt}`);
    this.overlay.replaceChildren();
    this.labels.replaceChildren();
    this.gl?.clear();
    this.rects = this.show.layout(this, w, hgt) ?? [];
    document.getElementById('main')?.toggleAttribute('data-two', this.rects.length > 1);
    this.fallback?.draw(this.rects);
    for (const r of this.rects) {
      if (this.gl) { this.gl.draw(r, r.left, r.right ?? r.left, r.split ?? 1, r.crop ?? [0, 0, 1, 1]); }
      if (r.label) { this.labels.append(place(h('span', {}, r.label), r, false)); }
      if (r.label2) { this.labels.append(place(h('span', {}, r.label2), r, true)); }
    }
    const divided = this.rects.find(r => r.right && r.right !== r.left);
    this.line.hidden = !divided;
    if (divided) {
      this.line.value = String(Math.round(state.look.split * 100));
      this.line.setAttribute('aria-valuetext', `${this.line.value} % as recorded`);
      Object.assign(this.line.style, { left: `${divided.x - 10}px`, top: `${divided.y}px`, width: `${divided.w + 20}px`, height: `${divided.h}px` });
      const x = divided.x + divided.w * state.look.split;
      this.overlay.append(
        s('path', { d: `M${x} ${divided.y}v${divided.h}`, class: 'divider-edge' }), s('path', { d: `M${x} ${divided.y}v${divided.h}`, class: 'divider' }),
        s('circle', { cx: x, cy: divided.y + divided.h / 2, r: 13, class: 'grip' }), s('path', { d: `M${x - 3} ${divided.y + divided.h / 2 - 4}l-4 4 4 4M${x + 3} ${divided.y + divided.h / 2 - 4}l4 4-4 4`, class: 'grip-sign' }));
    }
    this.show.overlay?.(this, this.rects);
    const hdr = [clip(state.session?.primary), clip(state.current)].some(c => c?.isHdr);
    const wide = [clip(state.session?.primary), clip(state.current)].some(c => c?.isWideGamut);
    this.note.textContent = [
      this.fallback ? this.whyFallback : this.player.playing ? this.player.says : 'Still picture: the exact colours that are handed over.',
      hdr ? 'Signal values, not an HDR display: they look flat here.' : wide ? 'Signal values of a wider gamut: they look duller here.' : '', this.show.note ?? ''].filter(Boolean).join(' ');
    this.canvas.setAttribute('aria-label', `${this.rects.map(r => [r.label, r.label2].filter(Boolean).join(' | ')).filter(Boolean).join('; ')}, at ${clock(state.t)}`);
    document.getElementById('main')?.setAttribute('data-drawn', String(++this.drawn));
  }

  timeBar() {
    const a = clip(state.session?.primary), [from, to] = range();
    this.bar.hidden = !a || a.isStill || !(to > from);
    if (this.bar.hidden) { return; }
    this.slider.min = String(from);
    this.slider.max = String(to);
    this.slider.step = String(1 / (a.rate || 25));
    if (document.activeElement !== this.slider || Math.abs(Number(this.slider.value) - state.t) > 1e-3) { this.slider.value = String(state.t); }
    this.slider.setAttribute('aria-valuetext', clock(state.t));
    this.reading.textContent = `${clock(state.t)} of ${clock(to)}`;
    this.play.hidden = Boolean(this.fallback);
    this.play.textContent = this.player.playing ? 'Pause' : 'Play';
    this.band(from, to);
  }

  // The match over time: below the line it holds, a bar is doubtful, a tall bar with a cross fails. A tap goes there.
  band(from, to) {
    const m = match(), key = JSON.stringify([m?.clip, m?.lutVersion, m?.overTimeIsCurrent, m?.overTime.length, from, to]);
    if (key === this.bandOf) { return; }
    this.bandOf = key;
    const all = m?.overTime ?? [];
    if (!all.length) { this.bandHolder.replaceChildren(); return; }
    const x = t => 1000 * (t - from) / (to - from);
    const marks = all.map((i, n) => {
      const x0 = n ? x((all[n - 1].t + i.t) / 2) : 0, x1 = n + 1 < all.length ? x((i.t + all[n + 1].t) / 2) : 1000, mid = (x0 + x1) / 2;
      const height = i.grade === 'holds' ? 4 : i.grade === 'doubtful' ? 11 : 18;
      return s('g', { class: i.grade, click: () => this.seek(i.t) },
        s('title', {}, `${clock(i.t)}: ${i.grade}, Delta E ${i.mean.toFixed(1)}`),
        s('rect', { x: x0 + 1, y: 0, width: Math.max(1, x1 - x0 - 2), height: 20, class: 'touch' }), s('rect', { x: x0 + 1, y: 20 - height, width: Math.max(1, x1 - x0 - 2), height }),
        i.grade === 'fails' ? s('path', { d: `M${mid - 5} 5l10 10m0-10l-10 10`, class: 'cross', 'vector-effect': 'non-scaling-stroke' }) : null);
    });
    this.bandHolder.replaceChildren(s('svg', { viewBox: '0 0 1000 20', preserveAspectRatio: 'none', role: 'img', class: m.overTimeIsCurrent ? '' : 'old',
      'aria-label': `The match over time: ${all.filter(i => i.grade === 'holds').length} of ${all.length} instants hold, ${all.filter(i => i.grade === 'doubtful').length} are doubtful, ${all.filter(i => i.grade === 'fails').length} fail` }, marks));
  }
}

function place(label, r, right) {
  const at = right ? r.x + r.w : r.x;
  Object.assign(label.style, right ? { right: `calc(100% - ${at}px)`, top: `${r.y}px` } : { left: `${at}px`, top: `${r.y}px` });
  return label;
}

/** The size of a clip's upright picture, as it is shown. */
function shape(id) {
  const c = clip(id);
  return c?.width ? c.width / c.height : 16 / 9;
}

/** A rectangle of a shape in the middle of another. */
export function fit(aspect, x, y, w, h) {
  const rw = Math.min(w, h * aspect), rh = rw / aspect;
  return { x: Math.round(x + (w - rw) / 2), y: Math.round(y + (h - rh) / 2), w: Math.round(rw), h: Math.round(rh) };
}

/** One picture, as large as it can be. */
export const single = (id, extra) => (stage, w, h) => [{ ...fit(shape(id()), 0, 0, w, h), ...extra() }];

/** Camera A beside camera B; one above the other where that makes both larger. */
export const beside = (left, right) => (stage, w, h) => {
  const a = shape(state.session.primary), b = shape(state.current);
  const half = (w - GAP) / 2, across = [fit(a, 0, 0, half, h), fit(b, half + GAP, 0, half, h)];
  const high = (h - GAP) / 2, down = [fit(a, 0, 0, w, high), fit(b, 0, high + GAP, w, high)];
  const area = two => two.reduce((sum, r) => sum + r.w * r.h, 0);
  const [ra, rb] = area(across) >= area(down) ? across : down;
  return [{ ...ra, ...left() }, { ...rb, ...right() }];
};

/** The pictures' corner labels in the words used everywhere. */
export const A = () => ({ left: 'a', label: 'Camera A' });
export const B = () => ({ left: 'b', label: 'Camera B, as recorded' });
export const MATCHED = () => ready() ? { left: 'matched', label: 'Camera B, matched' } : B();
export { GAP, decisions };
