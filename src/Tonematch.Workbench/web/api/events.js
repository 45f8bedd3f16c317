// Events from the server: jobs, fits, and changes made in another window.
// @ts-check
import { get, at } from '/web/api/server.js';
import { change, say, state } from '/web/state/store.js';
import { forget, settled } from '/web/state/session.js';

let seen = new Set();

/** Loads everything anew: at the start, after a break, after another window's change. */
export async function reload() {
  const server = await get('/api/state');
  if (!server) { return; }
  const matches = {}, was = state.version;
  for (const m of server.matches) { matches[m.clip] = m; }
  const jobs = {};
  for (const j of server.jobs) { jobs[j.id] = j; seen.add(`${j.id}${j.status}`); }
  change({ server, matches, jobs });
  // Decisions on their way to the server are newer than those it sent.
  if (settled() && server.version >= state.version) {
    if (server.version > was) { forget(); }
    const all = server.session.secondaries.map(m => m.clip), there = all.filter(id => !server.clips.find(c => c.id === id)?.problem);
    change({ session: server.session, version: server.version, current: all.includes(state.current) ? state.current : there[0] ?? all[0] ?? null });
  }
  if (server.trouble) { say(server.trouble, 'trouble'); }
}

/** The figures of one clip's match. */
export async function reloadMatch(id) {
  const m = await get(at('/api/match', { of: id }));
  if (m) { change({ matches: { ...state.matches, [id]: m } }); }
}

const AGAIN = 2000, SOURCE_IS_CLOSED = 2;

export function listenToServer() {
  const source = new EventSource('/api/events');
  source.addEventListener('hello', e => {
    if (!state.connected) {
      change({ connected: true, say: '', sayKind: '' });
      document.dispatchEvent(new Event('back'));
      reload();
    } else if (Number(e.data) !== state.version) { reload(); }
  });
  source.addEventListener('state', e => {
    // Our own change comes back too: its number is known by then or on its way.
    setTimeout(() => { if (settled() && Number(e.data) > state.version) { reload(); } }, 150);
  });
  source.addEventListener('fit', e => reloadMatch(JSON.parse(e.data).clip));
  source.addEventListener('trouble', e => say(JSON.parse(e.data).say, 'trouble'));
  source.addEventListener('job', e => {
    const job = JSON.parse(e.data), key = `${job.id}${job.status}`;
    const isNew = !seen.has(key);
    seen.add(key);
    change({ jobs: { ...state.jobs, [job.id]: job } });
    if (isNew && job.status !== 'running') {
      if (job.message && job.kind !== 'check') { say(job.message, job.status === 'failed' ? 'trouble' : ''); }
      if (job.status === 'failed' && job.kind === 'check') { say(job.message, 'trouble'); }
      if (job.kind !== 'check') { reload(); }
    }
  });
  // The browser tries again by itself, but not after an answer that it does not like.
  source.onerror = () => {
    change({ connected: false });
    if (source.readyState === SOURCE_IS_CLOSED) { setTimeout(find, AGAIN); }
  };
}

async function find() {
  try {
    const answer = await fetch('/web/icon.svg');
    if (answer.ok) { listenToServer(); } else { change({ connected: false, say: await answer.text(), sayKind: 'trouble' }); }
  } catch {
    setTimeout(find, AGAIN);
  }
}

document.addEventListener('reload-state', reload);
