// In time: the clips on one clock; both sounds and both frames of one moment; shifted or marked by hand.
// @ts-check
import { at, get } from '/web/api/server.js';
import { clock, fill, h, s } from '/web/state/dom.js';
import { decideHere } from '/web/state/session.js';
import { change, clip, decisions, match, say, state } from '/web/state/store.js';
import { A, B, beside } from '/web/gl/stage.js';
import { chooser, needsMatch } from '/web/views/shared.js';

let drawn = '', soundOf = '', sound = null, audio = null;

const offset = () => state.time.offset ?? decisions()?.offsetSeconds ?? match()?.sync?.offset ?? 0;
const isChanged = () => state.time.offset !== null && !(Math.abs(state.time.offset - (match()?.sync?.offset ?? NaN)) <= 1e-6);

function shift(by, stage) {
  change({ time: { ...state.time, offset: Math.round((offset() + by) * 1e6) / 1e6 } });
  stage.refresh();
}

async function loadSound() {
  const key = JSON.stringify([state.current, state.t.toFixed(3), offset(), state.time.span]);
  if (key === soundOf || !clip(state.session.primary)?.hasSound || !clip(state.current)?.hasSound) { return; }
  soundOf = key;
  await new Promise(done => setTimeout(done, 120));
  if (key !== soundOf) { return; }
  const answer = await get(at('/api/sound', { clip: state.current, of: state.current, t: state.t, span: state.time.span, offset: offset() }));
  if (key === soundOf && answer) { sound = answer; drawn = ''; change(); }
}

function wave(peaks, top, name) {
  let d = '';
  for (let i = 0; i < peaks.length; i += 2) { d += `M${i / 2} ${top - 38 * peaks[i + 1] - 0.3}V${top - 38 * peaks[i] + 0.3}`; }
  return s('path', { d, class: name });
}

function sounds() {
  if (!clip(state.session.primary)?.hasSound || !clip(state.current)?.hasSound) { return h('p.hint', {}, 'One of the clips has no sound: go by the pictures.'); }
  return h('div.sounds', {},
    s('svg', { viewBox: '0 0 800 172', role: 'img', 'aria-label': 'Both sounds around this moment, camera A above camera B' },
      sound ? [wave(sound.a, 42, 'wave'), wave(sound.b, 128, 'wave')] : null,
      s('path', { d: 'M0 85.5H800', class: 'between' }), s('path', { d: 'M400 0V172', class: 'now' }),
      s('text', { x: 10, y: 28 }, 'A'), s('text', { x: 10, y: 118 }, 'B')),
    h('div.row', {},
      h('button', { type: 'button', 'data-key': 'hear', click: hear }, 'Hear it: A left, B right'),
      h('label', {}, 'Seconds shown', h('select', { 'data-key': 'span', change: e => change({ time: { ...state.time, span: Number(e.target.value) } }) }, [0.2, 0.5, 2, 10].map(v => h('option', { value: v, selected: v === state.time.span }, v))))));
}

function hear() {
  audio?.pause();
  audio = new Audio(at('/api/sound.wav', { clip: state.current, of: state.current, t: state.t, span: Math.max(2, state.time.span), offset: offset() }));
  audio.play().catch(() => say('The browser does not play sound here.', 'trouble'));
}

// Each camera a strip on camera A's clock.
function strips(stage) {
  const a = clip(state.session.primary), all = state.session.secondaries.map(m => [clip(m.clip), m.clip === state.current ? offset() : m.offsetSeconds ?? state.matches[m.clip]?.sync?.offset ?? null]);
  const begins = all.filter(([c, o]) => c && o !== null).map(([, o]) => -o), ends = all.filter(([c, o]) => c && o !== null).map(([c, o]) => c.duration - o);
  const from = Math.min(0, ...begins), to = Math.max(a.duration, ...ends), x = t => 4 + 392 * (t - from) / (to - from || 1);
  const row = (name, begin, length, y, kind) => s('g', {}, s('rect', { x: x(begin), y, width: Math.max(2, x(begin + length) - x(begin)), height: 24, rx: 3, class: kind }), s('text', { x: x(begin) + 8, y: y + 16.5 }, name));
  return s('svg', { viewBox: `0 0 400 ${44 + 32 * all.length}`, class: 'strips', role: 'img', 'aria-label': 'The clips on one clock',
    click: e => { const r = e.currentTarget.getBoundingClientRect(); stage.seek(from + ((e.clientX - r.left) / r.width * 400 - 4) / 392 * (to - from)); } },
    row(`A  ${a.name}`, 0, a.duration, 6, 'strip-a'), all.map(([c, o], i) => c && o !== null ? row(`B  ${c.name}`, -o, c.duration, 38 + 32 * i, 'strip-b') : null),
    s('path', { d: `M${x(state.t)} 0V${44 + 32 * all.length}`, class: 'now' }));
}

function apply() {
  const value = offset();
  decideHere(m => { m.offsetSeconds = value; m.driftPpm = match()?.sync?.drift ?? 0; });
  change({ time: { ...state.time, offset: null, own: null } });
}

export const time = {
  title: 'In time',
  stage: true,
  enter(panel, stage) {
    drawn = soundOf = '';
    const sync = match()?.sync;
    if (sync?.moment && !time.visited) { time.visited = true; state.t = sync.moment; }
    stage.show = { layout: beside(A, B), note: '' };
  },
  leave(stage) {
    audio?.pause();
    change({ time: { ...state.time, offset: null, own: null } });
    stage.loaded = '';
  },
  render(panel, stage) {
    const a = clip(state.session.primary), b = clip(state.current), m = match(), d = decisions();
    const still = a.isStill || b.isStill;
    if (!still) { loadSound(); }
    const key = JSON.stringify([state.current, state.t, state.time, m?.sync, m?.status, d?.offsetSeconds, Boolean(sound), Object.values(state.jobs).filter(j => j.status === 'running').length]);
    if (key === drawn) { return; }
    drawn = key;
    const frame = 1 / (a.rate || 25), own = state.time.own;
    fill(panel, h('h1', { id: 'title' }, 'In time'), chooser(), isChanged() ? null : needsMatch(),
      still ? h('p', {}, 'A photo has no time: the pictures are compared as they are.') : [
        m?.sync ? h('div', {}, h('p', {}, m.sync.words), h('p.begins', {}, m.sync.begins)) : h('p', {}, 'It is found by the sound when the match is made. You may also set it by hand here.'),
        strips(stage), sounds(),
        h('fieldset', {}, h('legend', {}, 'Shift camera B'),
          h('div.row.shift', {},
            h('button', { type: 'button', 'data-key': 's1', click: () => shift(-frame, stage) }, 'a frame later'), h('button', { type: 'button', 'data-key': 's2', click: () => shift(-0.001, stage) }, '1 ms later'),
            h('button', { type: 'button', 'data-key': 's3', click: () => shift(0.001, stage) }, '1 ms earlier'), h('button', { type: 'button', 'data-key': 's4', click: () => shift(frame, stage) }, 'a frame earlier')),
          h('label.field', {}, 'B begins at, in seconds of A', h('input', { type: 'number', step: 0.001, 'data-key': 'offset', value: (-offset()).toFixed(4), change: e => { change({ time: { ...state.time, offset: -Number(e.target.value) || 0 } }); stage.refresh(); } })),
          own === null
            ? h('button', { type: 'button', 'data-key': 'mark', click: () => { change({ time: { ...state.time, own: Math.max(0, state.t + offset()) } }); stage.refresh(); } }, 'Mark the same moment in both by hand')
            : h('div.marking', {}, h('p.hint', {}, 'Find a clear moment in camera A below the pictures, and the same one in camera B here.'),
              h('label.field', {}, `Camera B at ${clock(own)}`, h('input', { type: 'range', min: 0, max: b.duration, step: 1 / (b.rate || 25), value: own, 'data-key': 'own', 'aria-valuetext': clock(own), input: e => { change({ time: { ...state.time, own: Number(e.target.value) } }); stage.refresh(true); } })),
              h('div.row', {}, h('button', { type: 'button', 'data-key': 'ob', click: () => { change({ time: { ...state.time, own: Math.max(0, own - 1 / b.rate) } }); stage.refresh(); } }, 'B a frame back'),
                h('button', { type: 'button', 'data-key': 'of', click: () => { change({ time: { ...state.time, own: own + 1 / b.rate } }); stage.refresh(); } }, 'B a frame on'),
                h('button', { type: 'button', 'data-key': 'same', click: () => { change({ time: { ...state.time, offset: Math.round((own - state.t) * 1e6) / 1e6, own: null } }); stage.refresh(); } }, 'These show the same moment'))),
          isChanged() ? h('div.call', {}, h('p', {}, 'Shifted by hand. The match will be made again with it.'), h('button.main', { type: 'button', 'data-key': 'use', click: apply }, 'Use this'),
            h('button', { type: 'button', 'data-key': 'drop', click: () => { change({ time: { ...state.time, offset: null, own: null } }); stage.refresh(); } }, 'Leave it')) : null,
          d?.offsetSeconds !== null && d?.offsetSeconds !== undefined ? h('button', { type: 'button', 'data-key': 'auto', click: () => decideHere(x => { x.offsetSeconds = null; x.driftPpm = 0; }) }, 'Back to what the sound says') : null),
      ]);
  },
};
