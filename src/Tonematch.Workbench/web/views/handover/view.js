// Hand over: the command line's files by the same code, and what to do with them.
// @ts-check
import { call } from '/web/api/server.js';
import { fill, h } from '/web/state/dom.js';
import { match, state } from '/web/state/store.js';
import { needsMatch } from '/web/views/shared.js';

const FILES = {
  'correction.cube': ['The correction as a LUT', 'Load it in your editor on every clip of this camera, before anything else. No other correction of exposure or white balance beside it.'],
  'correction.clf': ['The same as Common LUT Format', 'Use it if your editor accepts it: exact steps instead of a table, where possible.'],
  'correction.cdl': ['The nearest ASC CDL', 'For where no LUT can be loaded. Ten numbers; the report says how much accuracy they lose.'],
  'correction.txt': ['Its numbers and formulas', 'To type them in by hand, or for FFmpeg with the filter at its end.'],
  'report.html': ['The report', 'One page of evidence. Read it before you use the rest, and keep it with the project.'],
  'match.json': ['Every figure', 'For other programs and for later.'],
  'pairs.csv': ['The corresponding colours', 'Everything was computed from these; they can be fitted again.'],
  'correction-hald.png': ['The correction as a Hald picture', 'For programs that take a table as a picture. 16 bits.'],
  'corrected.mp4': ['The corrected clip', 'Cut with it directly; it has the sound and the times of the original.'],
  'cut-test.mp4': ['The cut test', 'Watch it: it cuts between both cameras every two seconds. Anything you do not notice is matched.'],
  'begins.csv': ['Where each clip begins', 'Camera A’s clock, in seconds and in hours:minutes:seconds:frames. Place the clips by it.'],
};
let drawn = '';
const wanted = { hald: false, clip: false, cutTest: true, begins: true };
let replace = false, evenSo = false;

async function start() {
  await call('/api/handover', { replace, evenSo, ...wanted });
}

const option = (name, text, hint) => h('label.check', {}, h('input', { type: 'checkbox', 'data-key': name, checked: wanted[name], change: e => { wanted[name] = e.target.checked; } }), h('span', {}, text, h('small', {}, hint)));

export const handover = {
  title: 'Hand over',
  stage: false,
  enter() { drawn = ''; },
  render(panel) {
    const running = Object.values(state.jobs).find(j => j.kind === 'hand-over' && j.status === 'running'), files = state.server.files;
    const ready = state.session.secondaries.length > 0 && state.session.secondaries.every(m => state.matches[m.clip]?.status === 'ready');
    const key = JSON.stringify([files, running?.id, ready, state.current, state.matches, replace, evenSo]);
    if (key === drawn) { return; }
    drawn = key;
    const folders = [...new Set(files.map(f => f.includes('/') ? f.slice(0, f.lastIndexOf('/')) : ''))];
    const film = files.find(f => f.endsWith('cut-test.mp4')), m = match();
    fill(panel,
      h('div.intro', {}, h('h1', { id: 'title' }, 'Hand over'),
        h('p', {}, m && m.status !== 'none' ? `${m.headline} The same files as from the command line are written into the folder ${state.server.outFolder}.` : ''), needsMatch()),
      h('div.give', {},
        h('fieldset', {}, h('legend', {}, 'Besides the correction and its report'),
          option('begins', 'Where each clip begins', ' a table for placing the clips'), option('cutTest', 'The cut test', ' a short clip that cuts between both cameras'),
          option('clip', 'The corrected clip', ' takes as long as the clip is large'), option('hald', 'A Hald picture', ' the correction as a picture'),
          h('label.field', {}, 'Size of the LUT', h('select', { 'data-key': 'size', change: async e => { const { decide } = await import('/web/state/session.js'); decide(s => { s.lutSize = Number(e.target.value); }); } }, [17, 33, 65].map(n => h('option', { value: n, selected: n === state.session.lutSize }, `${n} nodes a side`))))),
        h('label.check', {}, h('input', { type: 'checkbox', 'data-key': 'replace', checked: replace, change: e => { replace = e.target.checked; } }), 'Replace files of an earlier hand-over'),
        Object.values(state.matches).some(x => x.verdict === 'do-not-use') ? h('label.check', {}, h('input', { type: 'checkbox', 'data-key': 'evenSo', checked: evenSo, change: e => { evenSo = e.target.checked; } }), h('span', {}, 'Even so', h('small', {}, ' write the correction although it should not be used; otherwise only its report is written'))) : null,
        h('button.main', { type: 'button', id: 'write', 'data-key': 'write', disabled: !ready || Boolean(running), click: start }, running ? 'Writing …' : 'Write the files')),
      film ? h('figure.film', {}, h('video', { controls: true, src: `/out/${film}`, preload: 'metadata', 'aria-label': 'The cut test' }), h('figcaption', {}, 'The cut test: A, B, A, B …')) : null,
      folders.map(folder => h('section.files', { 'aria-label': folder || state.server.outFolder }, h('h2', {}, folder || `In ${state.server.outFolder}`),
        h('ul', {}, files.filter(f => (f.includes('/') ? f.slice(0, f.lastIndexOf('/')) : '') === folder).map(f => {
          const name = f.slice(f.lastIndexOf('/') + 1), [title, next] = FILES[name] ?? [name, ''];
          return h('li', {}, h('a', { href: `/out/${f}`, target: name.endsWith('.html') ? '_blank' : null, download: name.endsWith('.html') ? null : name }, name), h('strong', {}, title), h('p', {}, next));
        })))),
      h('p.small', {}, 'What you decided is kept in workbench.json. Without a browser: tonematch match --session workbench.json --out DIR'));
  },
};
