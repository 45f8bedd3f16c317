// The page's only state. All decisions are in `session` and on the server; the rest is about the display.
// @ts-check

/** @typedef {import('./types.js').State} State */

/** @type {any} */
export const state = {
  server: null, session: null, version: 0, matches: {}, pairs: {}, jobs: {},
  current: null, view: 'clips', t: 0, connected: true, say: '', sayKind: '',
  past: [], future: [], saving: false,
  look: { mode: 'divided', split: 0.5, plots: false, turn: 'a', detail: null },
  colours: { chosen: null, tool: null, uncovered: null, showAll: false },
  time: { offset: null, own: null, span: 2 },
};

/** @type {Set<() => void>} */
const listeners = new Set();
let told = false;

/** Calls a function after each change, once for changes made together. */
export function listen(/** @type {() => void} */ f) {
  listeners.add(f);
}

/** Changes the state and notifies all listeners. */
export function change(/** @type {object} */ patch = {}) {
  Object.assign(state, patch);
  if (!told) {
    told = true;
    queueMicrotask(() => {
      told = false;
      for (const f of listeners) { f(); }
    });
  }
}

/** A sentence for the person; kind 'trouble' stays until the next one. */
export const say = (/** @type {string} */ text, kind = '') => change({ say: text, sayKind: kind });

/** A clip by its id. */
export const clip = (/** @type {string|null} */ id) => state.server?.clips.find(c => c.id === id) ?? null;

/** The decisions about the current clip of camera B. */
export const decisions = () => state.session?.secondaries.find(m => m.clip === state.current) ?? null;

/** The current match, as far as it is done. */
export const match = () => state.matches[state.current] ?? null;

/** Whether the match exists and belongs to the current decisions. */
export const ready = () => match()?.status === 'ready' || match()?.status === 'stale';

/** The part of camera A's time in which both cameras record. */
export function range() {
  const a = clip(state.session?.primary), sync = match()?.sync;
  return sync && sync.to > sync.from ? [sync.from, sync.to] : [0, Math.max(0, (a?.duration ?? 0) - (a?.rate ? 1 / a.rate : 0))];
}
