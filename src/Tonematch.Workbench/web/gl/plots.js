// Signal plots of what is on the canvas, counted in whole codes; drawn on dark grey in one tint, red, green and blue where
// they mean the channels.
// @ts-check

const SIZE = 220;

/** Where each column's codes lie: light at the top. Of luma (BT.709), or of one channel after the other. */
export function waveform(canvas, picture, channels = false) {
  const width = channels ? SIZE * 3 : SIZE * 2, counts = [0, 1, 2].map(() => new Uint32Array(width * 256));
  for (let y = 0; y < picture.height; y += 2) {
    for (let x = 0; x < picture.width; x++) {
      const i = 4 * (y * picture.width + x), [r, g, b] = [picture.data[i], picture.data[i + 1], picture.data[i + 2]];
      if (channels) {
        const at = Math.floor(x * SIZE / picture.width);
        [r, g, b].forEach((v, c) => counts[c][(255 - v) * width + c * SIZE + at]++);
      } else {
        counts[0][(255 - Math.round(0.2126 * r + 0.7152 * g + 0.0722 * b)) * width + Math.floor(x * width / picture.width)]++;
      }
    }
  }
  const tints = channels ? [[255, 120, 110], [120, 225, 130], [130, 160, 255]] : [[235, 235, 235]];
  paint(canvas, width, 256, counts.slice(0, tints.length), tints);
}

/** Which colours there are, by their distance from grey: BT.709's Cb to the right, Cr upwards. */
export function vectorscope(canvas, picture) {
  const counts = new Uint32Array(256 * 256);
  for (let i = 0; i < picture.data.length; i += 8) {
    const r = picture.data[i], g = picture.data[i + 1], b = picture.data[i + 2], l = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    const cb = Math.round(128 + (b - l) / 1.8556), cr = Math.round(128 - (r - l) / 1.5748);
    counts[Math.min(255, Math.max(0, cr)) * 256 + Math.min(255, Math.max(0, cb))]++;
  }
  const c = paint(canvas, 256, 256, [counts], [[235, 235, 235]]);
  c.strokeStyle = 'rgba(255,255,255,.3)';
  c.beginPath();
  c.moveTo(128, 0); c.lineTo(128, 256); c.moveTo(0, 128); c.lineTo(256, 128);
  c.stroke();
}

/** The samples on CIELAB's plane: a ring is camera A, a dot camera B matched, a line what is left between them. */
export function plane(canvas, pairs) {
  canvas.width = canvas.height = 512;
  const c = canvas.getContext('2d'), used = pairs.filter(p => !p.isOut);
  const reach = Math.max(20, ...used.flatMap(p => p.ab.map(Math.abs))) * 1.1, x = v => 256 + 256 * v / reach, y = v => 256 - 256 * v / reach;
  c.fillStyle = '#262626';
  c.fillRect(0, 0, 512, 512);
  c.strokeStyle = 'rgba(255,255,255,.3)';
  c.beginPath();
  c.moveTo(256, 0); c.lineTo(256, 512); c.moveTo(0, 256); c.lineTo(512, 256);
  c.stroke();
  for (const p of used.slice(0, 600)) {
    c.strokeStyle = c.fillStyle = p.colourA;
    c.lineWidth = 2;
    c.beginPath();
    c.arc(x(p.ab[0]), y(p.ab[1]), 6, 0, 7);
    c.moveTo(x(p.ab[0]), y(p.ab[1]));
    c.lineTo(x(p.ab[4]), y(p.ab[5]));
    c.stroke();
    c.beginPath();
    c.arc(x(p.ab[4]), y(p.ab[5]), 3, 0, 7);
    c.fill();
  }
}

function paint(canvas, width, height, counts, tints) {
  canvas.width = width;
  canvas.height = height;
  const c = canvas.getContext('2d'), image = c.createImageData(width, height);
  const top = counts.map(k => Math.log2(2 + k.reduce((m, v) => Math.max(m, v), 0)));
  for (let i = 0; i < width * height; i++) {
    let [r, g, b] = [38, 38, 38];
    counts.forEach((k, n) => {
      if (k[i]) {
        const v = 0.25 + 0.75 * Math.log2(1 + k[i]) / top[n];
        r = Math.max(r, tints[n][0] * v); g = Math.max(g, tints[n][1] * v); b = Math.max(b, tints[n][2] * v);
      }
    });
    image.data.set([r, g, b, 255], 4 * i);
  }
  c.putImageData(image, 0, 0);
  return c;
}
