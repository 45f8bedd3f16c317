// Requests to the server. Every answer is a value or a sentence; expected failures do not throw.
// @ts-check
import { change, state } from '/web/state/store.js';

const GONE = 'The workbench has ended or does not answer. Your decisions are kept. If it was closed, start it again and open its new address.';

async function ask(path, options) {
  try {
    const answer = await fetch(path, options);
    if (answer.ok && !state.connected) { change({ connected: true, say: '', sayKind: '' }); }
    return answer;
  } catch (e) {
    if (e instanceof DOMException && e.name === 'AbortError') { return null; }
    change({ connected: false, say: GONE, sayKind: 'trouble' });
    return null;
  }
}

async function sentence(answer) {
  const text = await answer.text();
  try { return JSON.parse(text).say ?? text; } catch { return text; }
}

/** JSON of a path, or null with the sentence said. */
export async function get(path, signal = undefined) {
  const answer = await ask(path, { signal });
  if (!answer) { return null; }
  if (!answer.ok) { change({ say: await sentence(answer), sayKind: 'trouble' }); return null; }
  return answer.json();
}

/** Sends JSON; gives the status (0 when the server is gone) and its sentence. */
export async function post(path, value) {
  const answer = await ask(path, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(value) });
  return answer ? { status: answer.status, say: await sentence(answer) } : { status: 0, say: GONE };
}

/** Sends JSON; gives the JSON of the answer, or null with the sentence said. */
export async function call(path, value) {
  const answer = await ask(path, { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(value) });
  if (!answer) { return null; }
  if (!answer.ok) { change({ say: await sentence(answer), sayKind: 'trouble' }); return null; }
  return answer.json();
}

export const stop = (/** @type {number} */ id) => ask(`/api/jobs/${id}`, { method: 'DELETE' });

/** Bytes of a path with the answer's headers; null when there are none, the reason said unless quiet. */
export async function bytes(path, signal = undefined, quiet = false) {
  const answer = await ask(path, { signal });
  if (!answer) { return null; }
  if (!answer.ok) {
    const why = await sentence(answer);
    if (!quiet) { change({ say: why, sayKind: 'trouble' }); }
    return null;
  }
  try {
    return { headers: answer.headers, data: new Uint8Array(await answer.arrayBuffer()) };
  } catch {
    return null;
  }
}

/** A path with its query. */
export function at(path, query) {
  const q = new URLSearchParams();
  for (const [name, value] of Object.entries(query)) {
    if (value !== null && value !== undefined) { q.set(name, String(value)); }
  }
  return `${path}?${q}`;
}
