// Clips: what is in the folders, which camera is right, and which are matched to it.
// @ts-check
import { at, call, post } from '/web/api/server.js';
import { dE, fill, h } from '/web/state/dom.js';
import { decide } from '/web/state/session.js';
import { change, clip, say, state } from '/web/state/store.js';

let filter = '', drawn = '';

function like(id) {
  decide(s => {
    s.primary = id;
    s.secondaries = s.secondaries.filter(m => m.clip !== id);
    // With few clips the others are what is to be matched: no further question.
    const others = state.server.clips.filter(c => c.id !== id && !c.problem);
    if (!s.secondaries.length && others.length <= 3) { s.secondaries = others.map(c => fresh(c.id)); }
  });
  change({ current: state.session.secondaries.some(m => m.clip === state.current) ? state.current : state.session.secondaries[0]?.clip ?? null });
}

function toMatch(id, wanted) {
  decide(s => {
    if (s.primary === id && wanted) { s.primary = null; }
    s.secondaries = s.secondaries.filter(m => m.clip !== id);
    if (wanted) { s.secondaries.push(fresh(id)); }
  });
  change({ current: state.session.secondaries.some(m => m.clip === state.current) ? state.current : state.session.secondaries[0]?.clip ?? null });
}

function leave(id) {
  decide(s => { if (s.primary === id) { s.primary = null; } s.secondaries = s.secondaries.filter(m => m.clip !== id); });
  change({ current: state.session.secondaries[0]?.clip ?? null });
}

const fresh = id => ({ clip: id, offsetSeconds: null, driftPpm: 0, method: null, chart: null, at: [], primaryChart: null, secondaryChart: null, leftOut: [], weights: {}, regions: [], model: null, trim: {} });

export async function startMatch() {
  const answer = await post('/api/match', { clip: '' });
  if (answer.status >= 400 || !answer.status) { say(answer.say, 'trouble'); }
}

function card(c) {
  const isA = state.session.primary === c.id, isB = state.session.secondaries.some(m => m.clip === c.id), m = state.matches[c.id];
  return h(`article.card${isA ? '.liked' : isB ? '.other' : ''}${c.problem ? '.broken' : ''}`, { 'aria-label': c.name },
    c.problem ? h('div.nothing', { 'aria-hidden': 'true' }) : h('img', { src: at('/api/thumbnail', { clip: c.id, m: c.modified }), alt: `A frame of ${c.name}`, loading: 'lazy', width: 320, height: 180 }),
    h('div.words', {},
      h('h2', {}, c.name),
      c.problem ? [h('p.trouble', {}, c.problem), isA || isB ? h('div.choices', {}, h('button', { type: 'button', 'data-key': `x${c.id}`, click: () => leave(c.id) }, 'Go on without it')) : null] : [
        h('p', {}, c.facts.join(' · ')),
        c.doubts.length ? h('details', {}, h('summary', {}, c.doubts.length === 1 ? 'One thing was assumed' : `${c.doubts.length} things were assumed`), h('ul', {}, c.doubts.map(d => h('li', {}, d)))) : null,
        isB && m && m.status !== 'none' ? h('p.result', {}, `Matched: Delta E ${dE(m.before)} before, ${dE(m.after)} after`) : null,
        h('div.choices', { role: 'group', 'aria-label': `Use of ${c.name}` },
          h('button', { type: 'button', 'data-key': `a${c.id}`, 'aria-pressed': String(isA), click: () => like(c.id) }, isA ? 'Camera A, the one I like' : 'I like this one'),
          isA ? null : h('button', { type: 'button', 'data-key': `b${c.id}`, 'aria-pressed': String(isB), click: () => toMatch(c.id, !isB) }, isB ? 'To be matched to A' : 'Match to A')),
      ]));
}

async function drop(e) {
  e.preventDefault();
  for (const file of e.dataTransfer?.files ?? []) {
    const found = await call('/api/dropped', { name: file.name, size: file.size, modified: file.lastModified });
    if (found?.id) {
      if (!state.session.primary) { like(found.id); } else { toMatch(found.id, true); }
      say(`${file.name} was found in your folder.`);
    } else if (found) { say(found.say, 'trouble'); }
  }
}

document.addEventListener('dragover', e => e.preventDefault());
document.addEventListener('drop', drop);

export const clips = {
  title: 'Clips',
  stage: false,
  enter() { drawn = ''; },
  render(panel) {
    const running = Object.values(state.jobs).some(j => j.kind === 'match' && j.status === 'running');
    const key = JSON.stringify([state.server.clips, state.session.primary, state.session.secondaries.map(m => m.clip), filter, running, state.matches]);
    if (key === drawn) { return; }
    drawn = key;
    const all = state.server.clips, a = clip(state.session.primary), others = state.session.secondaries;
    const seen = all.filter(c => c.name.toLowerCase().includes(filter.toLowerCase()));
    const done = others.length > 0 && others.every(m => state.matches[m.clip]?.status === 'ready');
    fill(panel,
      h('div.intro', {},
        h('h1', { id: 'title' }, a ? 'Match the others to the camera you like' : 'Which camera do you like?'),
        h('p', {}, all.length ? 'Choose the clip whose colours are right. The others get its look. Everything stays on this machine.'
          : `There is no clip in ${state.server.roots.join(', ')}. Start again with the folder of your clips: tonematch workbench FOLDER`),
        h('div.start', {},
          h('button.main', { type: 'button', id: 'match', 'data-key': 'match', disabled: !a || !others.length || running, click: startMatch }, running ? 'Matching …' : done ? 'Match again what changed' : others.length > 1 ? `Match ${others.length} clips` : 'Match'),
          done ? h('button', { type: 'button', 'data-key': 'look', click: () => document.dispatchEvent(new CustomEvent('go', { detail: 'look' })) }, 'Look at it') : null),
        all.length > 8 ? h('label.filter', {}, 'Show only names with ', h('input', { type: 'text', 'data-key': 'filter', value: filter, input: e => { filter = e.target.value; change(); } })) : null),
      h('div.cards', {}, seen.map(card)));
  },
};
