// Decisions: each change makes a new session, which is sent to the server; the previous one is kept for undo.
// @ts-check
import { post } from '/web/api/server.js';
import { change, say, state } from '/web/state/store.js';

const MOST = 100;
let sending = false;
/** @type {null | {session: any, draft: boolean}} */
let next = null;
let before = null;

/**
 * Changes the session.
 * @param {(session: any) => void} edit changes a copy of it
 * @param {boolean} draft a slider still moves: one step of undo for all of it
 */
export function decide(edit, draft = false) {
  const session = structuredClone(state.session);
  edit(session);
  before ??= state.session;
  if (!draft) {
    if (JSON.stringify(before) !== JSON.stringify(session)) {
      state.past = [...state.past.slice(-MOST + 1), before];
      state.future = [];
    }
    before = null;
  }
  send(session, draft);
}

/** Changes the decisions about the clip of camera B that is looked at. */
export const decideHere = (/** @type {(match: any) => void} */ edit, draft = false) =>
  decide(s => { const m = s.secondaries.find(x => x.clip === state.current); if (m) { edit(m); } }, draft);

export function undo() {
  if (state.past.length) {
    state.future = [...state.future, state.session];
    send(state.past.pop(), false);
  }
}

export function redo() {
  if (state.future.length) {
    state.past = [...state.past, state.session];
    send(state.future.pop(), false);
  }
}

/** Another window made a decision, so the undo history here is no longer valid. */
export const forget = () => change({ past: [], future: [] });

// Sends what could not be sent while the server was gone.
const AGAIN = 2000;
const resend = () => { if (next && !sending) { flush(); } };
document.addEventListener('back', resend);

/** Nothing waits to be sent. */
export const settled = () => !sending && !next;

function send(session, draft) {
  next = { session, draft };
  change({ session, saving: true });
  if (!sending) { flush(); }
}

// One request at a time: changes made in the meantime are sent together.
async function flush() {
  sending = true;
  while (next) {
    const { session, draft } = next;
    next = null;
    const answer = await post('/api/session', { version: state.version, session, draft });
    if (!answer.status) {
      // The server is gone: kept, and sent when it is back.
      next ??= { session, draft: false };
      sending = false;
      setTimeout(resend, AGAIN);
      return;
    }
    if (answer.status === 409) {
      next = null;
      forget();
      say(answer.say, 'trouble');
      document.dispatchEvent(new Event('reload-state'));
    } else if (answer.status >= 400) {
      say(answer.say, 'trouble');
      document.dispatchEvent(new Event('reload-state'));
    } else {
      state.version = Number(answer.say);
    }
  }
  sending = false;
  change({ saving: false });
}
