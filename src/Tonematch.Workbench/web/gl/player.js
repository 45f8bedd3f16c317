// Moving pictures: the browser plays both clips, or small copies of them, in step by one clock, and each picture goes
// through the same table. Standing pictures are the server's exact frames again.
// @ts-check
import { at, call } from '/web/api/server.js';
import { h } from '/web/state/dom.js';
import { change, clip, match, range, say, state } from '/web/state/store.js';

const BEYOND = 0.5, PATIENCE = 15000;
// A copy made small and packed again is some codes off in fine detail; wrong tags or a tone curve are off by far more.
const MOST_OFF = 4;

export class Player {
  constructor(stage) {
    this.stage = stage;
    this.playing = this.starting = false;
    this.videos = {};
    this.broken = new Set();
    /** @type {Record<string, number>} by camera: how far the moving picture was from the exact one where it started, codes of 255 */
    this.off = {};
    this.says = '';
  }

  async toggle() {
    if (this.playing) { this.stop(true); return; }
    if (this.starting) { return; }
    this.starting = true;
    try { await this.start(); } finally { this.starting = false; }
  }

  /** Camera B's time at a time of camera A. */
  other(t) {
    const sync = match()?.sync, offset = state.view === 'time' && state.time.offset !== null ? state.time.offset : sync?.offset ?? 0;
    return t + offset + (sync?.drift ?? 0) * 1e-6 * t;
  }

  async start() {
    const ids = { a: state.session?.primary, b: state.current };
    for (const name of ['a', 'b']) {
      if (!await this.prepare(name, ids[name])) { return; }
    }
    const [from, to] = range();
    if (state.t >= to - 0.1) { change({ t: from }); }
    const { a, b } = this.videos;
    await this.stage.refresh();
    // Where the exact frames are those of this moment, the players begin at the very same frames.
    const half = id => 0.5 / (clip(id)?.rate || 25), frames = this.stage.gl?.frames;
    const exact = Boolean(frames && this.stage.loaded && !(state.view === 'time' && state.time.own !== null));
    await Promise.all([this.place(a, (exact ? frames.a.seconds : state.t) + half(ids.a)), this.place(b, (exact ? frames.b.seconds : this.other(state.t)) + half(ids.b))]);
    if (!this.compare(ids, exact)) { this.stage.loaded = ''; await this.start(); return; }
    this.playing = true;
    change();
    try {
      await Promise.all([a.play(), b.play()]);
    } catch {
      this.stop(true);
      return;
    }
    let apart = 0, last = performance.now();
    const each = (now, frame) => {
      if (!this.playing) { return; }
      const t = frame?.mediaTime ?? a.currentTime, [, end] = range();
      if (t >= end || a.ended) { this.stop(true); return; }
      state.t = t;
      if (this.stage.gl) {
        this.stage.gl.setVideo('a', a);
        this.stage.gl.setVideo('b', b);
      }
      // Two players drift; beyond a frame for half a second camera B is put where it belongs.
      const one = 1 / (clip(ids.b)?.rate || 25);
      apart = Math.abs(b.currentTime - this.other(a.currentTime)) > one ? apart + (performance.now() - last) / 1000 : 0;
      last = performance.now();
      if (apart > BEYOND) { b.currentTime = this.other(a.currentTime) + one / 2; apart = 0; }
      this.stage.loaded = '';
      this.stage.timeBar();
      this.stage.draw();
      this.next(a, each);
    };
    this.next(a, each);
  }

  // Whether what the browser shows is the exact picture, seen before it moves. A browser that is wrong about a clip gets the small copy.
  compare(ids, isExact) {
    const gl = this.stage.gl;
    if (!gl) { this.says = ''; return true; }
    for (const name of ['a', 'b']) {
      const exact = isExact ? gl.means(name) : null;
      gl.setVideo(name, this.videos[name]);
      const moving = gl.means(name);
      this.off[name] = exact && moving ? exact.reduce((sum, v, i) => sum + Math.abs(v - moving[i]), 0) / exact.length : NaN;
      const own = this.videos[name].dataset.address?.startsWith('/api/media');
      if (own && this.off[name] > MOST_OFF) { this.broken.add(ids[name]); return false; }
    }
    const worst = Math.max(this.off.a, this.off.b), copies = ['a', 'b'].some(n => this.videos[n].dataset.address?.startsWith('/api/preview'));
    const close = Number.isNaN(worst) ? 'close to the exact colours' : worst <= 1 ? 'within one code of 255 of the exact colours where it started' : `${worst.toFixed(1)} codes of 255 from the exact colours where it started`;
    this.says = `Moving picture${copies ? ' (a small copy)' : ''}: ${close}.`;
    return true;
  }

  next(video, each) {
    if (video.requestVideoFrameCallback) { video.requestVideoFrameCallback(each); } else { requestAnimationFrame(now => each(now, null)); }
  }

  stop(exact = false) {
    if (!this.playing) { return; }
    this.playing = false;
    for (const v of Object.values(this.videos)) { v.pause(); }
    change({ t: state.t + 1e-4 });
    if (exact) { this.stage.refresh(); }
  }

  // The clip itself where the browser plays it with the right colours, else a small copy that is made once.
  async prepare(name, id) {
    const c = clip(id);
    if (!c || c.isStill) { say('A photo does not move.'); return false; }
    const own = c.mayPlay && !this.broken.has(id), address = own ? at('/api/media', { clip: id }) : at('/api/preview', { clip: id });
    if (!own && !c.hasPreview) {
      if (!Object.values(state.jobs).some(j => j.kind === 'preview' && j.subject === id && j.status === 'running')) { await call('/api/preview', { clip: id }); }
      say(`${c.name} has a format that browsers do not play with the right colours. A small copy is being made; still pictures are exact in the meantime.`);
      return false;
    }
    let video = this.videos[name];
    if (video?.dataset.address === address) { return true; }
    video?.remove();
    video = this.videos[name] = h('video', { preload: 'auto', playsinline: true, 'aria-hidden': 'true', tabindex: '-1' });
    video.muted = true;
    video.dataset.address = address;
    video.className = 'unseen';
    document.body.append(video);
    const plays = await new Promise(done => {
      video.addEventListener('loadeddata', () => done(true), { once: true });
      video.addEventListener('error', () => done(false), { once: true });
      setTimeout(() => done(false), PATIENCE);
      video.src = address;
    });
    if (!plays) {
      delete this.videos[name];
      video.remove();
      if (!own) { say(`This browser cannot play ${c.name}, nor the small copy of it. Still pictures are exact; step through them.`, 'trouble'); return false; }
      this.broken.add(id);
      return this.prepare(name, id);
    }
    return true;
  }

  // To the middle of the frame: its very begin is one frame off as often as not.
  place(video, t) {
    return new Promise(done => {
      const timer = setTimeout(done, 3000);
      const ready = () => { clearTimeout(timer); done(null); };
      // The frame may come a moment after the seek is said to be done; none comes when it is the one already shown.
      video.addEventListener('seeked', () => { video.requestVideoFrameCallback?.(ready); setTimeout(ready, 250); }, { once: true });
      video.currentTime = Math.max(0, t);
    });
  }
}
