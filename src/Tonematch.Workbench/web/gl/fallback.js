// Without WebGL2: still pictures that the server has corrected, drawn as pictures.
// @ts-check
import { at } from '/web/api/server.js';
import { h } from '/web/state/dom.js';
import { match, ready, state } from '/web/state/store.js';

export function fallback(stage) {
  const holder = h('div.stills');
  stage.canvas.after(holder);
  let address = {}, drawn = '';
  return {
    end() { holder.remove(); },
    async load(a, b, bTime) {
      const of = state.current, version = match()?.lutVersion ?? 0, side = 960;
      address = {
        a: at('/api/still', { clip: a, t: state.t, side }),
        b: at('/api/still', { clip: b, ...bTime, side }),
        matched: at('/api/still', { clip: b, ...bTime, of, side, corrected: ready() ? 1 : 0, v: version }),
      };
    },
    draw(rects) {
      const key = JSON.stringify([rects, address]);
      if (key === drawn) { return; }
      drawn = key;
      holder.replaceChildren(...rects.flatMap(r => (r.right && r.right !== r.left ? [[r.left, 0, r.split], [r.right, r.split, 1]] : [[r.left, 0, 1]])
        .filter(([name]) => address[name]).map(([name, from, to]) => {
          const image = h('img', { src: address[name], alt: '' });
          Object.assign(image.style, { left: `${r.x}px`, top: `${r.y}px`, width: `${r.w}px`, height: `${r.h}px`, clipPath: `inset(0 ${100 * (1 - to)}% 0 ${100 * from}%)` });
          return image;
        })));
    },
  };
}
