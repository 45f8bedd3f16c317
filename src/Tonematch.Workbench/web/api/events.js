// What the server tells by itself: jobs, fits, and changes made in another window.
// @ts-check
import { get, at } from '/web/api/server.js';
import { change, say, state } from '/web/state/store.js';
import { settled } from '/web/state/session.js';

let seen = new Set();

/** Loads everything anew: at the start, after a break, after another window's change. */
export async function reload() {
  const server = await get('/api/state');
  if (!server) { return; }
  const matches = {};
  for (const m of server.matches) { matches[m.clip] = m; }
  const jobs = {};
  for (const j of server.jobs) { jobs[j.id] = j; seen.add(`${j.id}${j.status}`); }
  const secondaries = server.session.secondaries.map(m => m.clip);
  change({
    server, session: server.session, version: server.version, matches, jobs,
    current: secondaries.includes(state.current) ? state.current : secondaries[0] ?? null,
  });
  if (server.trouble) { say(server.trouble, 'trouble'); }
}

/** The figures of one clip's match. */
export async function reloadMatch(id) {
  const m = await get(at('/api/match', { of: id }));
  if (m) { change({ matches: { ...state.matches, [id]: m } }); }
}

export function listenToServer() {
  const source = new EventSource('/api/events');
  source.addEventListener('hello', e => {
    if (!state.connected || Number(e.data) !== state.version) { reload(); }
    change({ connected: true });
  });
  source.addEventListener('state', e => {
    // Ours comes back to us, too: its number is known by then or is on its way.
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
  source.onerror = () => change({ connected: false });
  document.addEventListener('reload-state', reload);
}
