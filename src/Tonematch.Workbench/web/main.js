// The page: steps at the top, pictures, and one panel that the chosen step fills.
// @ts-check
import { listenToServer, reload } from '/web/api/events.js';
import { stop } from '/web/api/server.js';
import { fill, h } from '/web/state/dom.js';
import { redo, undo } from '/web/state/session.js';
import { change, clip, decisions, listen, match, range, ready, state } from '/web/state/store.js';
import { Stage } from '/web/gl/stage.js';
import { clips } from '/web/views/clips/view.js';
import { time } from '/web/views/time/view.js';
import { colours } from '/web/views/colours/view.js';
import { look } from '/web/views/look/view.js';
import { trim } from '/web/views/trim/view.js';
import { handover } from '/web/views/handover/view.js';

const VIEWS = { clips, time, colours, look, trim, handover };
const byId = id => document.getElementById(id);
const stage = new Stage(byId('stage'));
let fading = 0, shown = '', steps = '', undoing = '', news = '';

export function go(view) {
  change({ view });
  byId('panel').focus({ preventScroll: true });
  scrollTo({ top: 0 });
}

function render() {
  if (!state.server) { return; }
  const usable = id => { const c = clip(id); return Boolean(c && !c.problem); };
  const both = usable(state.session.primary) && usable(state.current);
  if (state.view !== 'clips' && !both) { state.view = 'clips'; }
  const view = VIEWS[state.view], key = JSON.stringify([state.view, both, ready()]);
  if (key !== steps) {
    steps = key;
    fill(byId('steps'), Object.entries(VIEWS).map(([name, v]) => h('li', {}, h('button', {
      type: 'button', 'data-key': name, 'aria-current': name === state.view ? 'step' : null, disabled: name !== 'clips' && !both, click: () => go(name),
    }, v.title))));
  }
  const can = `${state.past.length > 0}${state.future.length > 0}`;
  if (can !== undoing) {
    undoing = can;
    fill(byId('undoing'),
      h('button', { type: 'button', 'data-key': 'undo', disabled: !state.past.length, click: undo }, 'Undo'),
      h('button', { type: 'button', 'data-key': 'redo', disabled: !state.future.length, click: redo }, 'Redo'));
  }
  tell();
  // Before both cameras record there is nothing to compare, so go to a moment that was compared.
  const [from, to] = range();
  if (ready() && (state.t < from - 1e-6 || state.t > to + 1e-3)) { state.t = match().moments[0] ?? from; stage.refresh(); }
  if (shown !== state.view) {
    VIEWS[shown]?.leave?.(stage);
    shown = state.view;
    byId('main').dataset.view = shown;
    byId('stage').hidden = !view.stage;
    fill(byId('panel'));
    stage.show = null;
    view.enter?.(byId('panel'), stage);
    if (view.stage) { stage.bandOf = ''; stage.refresh(); }
  }
  view.render(byId('panel'), stage);
  if (view.stage) {
    stage.timeBar();
    stage.table().then(() => stage.draw());
  }
}

// What happens: a job with its progress and a way to stop it, or the latest sentence.
function tell() {
  const running = Object.values(state.jobs).filter(j => j.status === 'running' && j.kind !== 'check');
  const m = match(), problem = m?.problem;
  const key = JSON.stringify([running, state.say, state.sayKind, state.connected, state.saving && !state.connected, problem]);
  if (key === news) { return; }
  news = key;
  clearTimeout(fading);
  if (state.say && !state.sayKind) { fading = setTimeout(() => change({ say: '' }), 8000); }
  fill(byId('news'),
    running.map(j => h('div.job', {}, h('span', {}, j.stage || 'Starting'),
      h('progress', j.share > 0 ? { max: 1, value: j.share, 'aria-label': j.stage || 'Progress' } : { 'aria-label': j.stage || 'Progress' }),
      h('button', { type: 'button', 'data-key': `stop${j.id}`, click: () => stop(j.id) }, 'Stop'))),
    problem ? h('p.trouble', {}, problem) : null,
    state.say ? h('p', { class: state.sayKind }, state.say, ' ', h('button.quiet', { type: 'button', 'data-key': 'close', click: () => change({ say: '', sayKind: '' }) }, 'Close')) : null,
    state.connected ? null : h('p.trouble', {}, `Looking for the workbench …${state.saving ? ' Your last change is not saved yet: leave this page open.' : ''}`));
}

document.addEventListener('keydown', e => {
  if ((e.ctrlKey || e.metaKey) && e.key.toLowerCase() === 'z' && !(e.target instanceof HTMLInputElement && e.target.type === 'text')) {
    e.preventDefault();
    if (e.shiftKey) { redo(); } else { undo(); }
  }
});
document.addEventListener('another', () => { stage.player.stop(); stage.loaded = stage.tableOf = ''; stage.refresh(); });
document.addEventListener('back', () => { stage.loaded = stage.tableOf = ''; stage.refresh(); });
// A clip may have come, gone or changed meanwhile.
addEventListener('focus', () => { if (state.server && state.connected) { reload(); } });
matchMedia('(prefers-reduced-motion: reduce)').addEventListener('change', () => change());
document.addEventListener('go', e => go(/** @type {CustomEvent} */ (e).detail));
listen(render);
// For tests: the canvas, so that what is shown can be read back.
Object.defineProperty(window, 'tonematch', { value: { stage, state, decisions } });
await reload();
if (ready() && state.view === 'clips') { state.view = 'look'; }
if (match()?.moments.length) { state.t = match().moments[0]; }
change();
listenToServer();
