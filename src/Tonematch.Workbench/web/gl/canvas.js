// One WebGL2 canvas: frames in, pictures out. It knows nothing about clips or decisions.
// @ts-check
import { COLOURS, COMPOSE, DEVELOP, VERTEX } from '/web/gl/shaders.js';

// How an upright place (0..1) lies in the stored picture, by EXIF orientation 1..8: columns of a mat3.
const TURNS = {
  1: [1, 0, 0, 0, 1, 0, 0, 0, 1], 2: [-1, 0, 0, 0, 1, 0, 1, 0, 1], 3: [-1, 0, 0, 0, -1, 0, 1, 1, 1], 4: [1, 0, 0, 0, -1, 0, 0, 1, 1],
  5: [0, 1, 0, 1, 0, 0, 0, 0, 1], 6: [0, -1, 0, 1, 0, 0, 0, 1, 1], 7: [0, -1, 0, -1, 0, 0, 1, 1, 1], 8: [0, 1, 0, -1, 0, 0, 1, 0, 1],
};

export class Canvas {
  /** @param {HTMLCanvasElement} element */
  constructor(element) {
    this.element = element;
    const gl = element.getContext('webgl2', { alpha: false, antialias: false, preserveDrawingBuffer: true });
    if (!gl) { throw new Error('WebGL2 is missing'); }
    this.gl = gl;
    gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
    gl.pixelStorei(gl.UNPACK_COLORSPACE_CONVERSION_WEBGL, gl.NONE);
    this.develop = this.program(DEVELOP);
    this.compose = this.program(COMPOSE);
    this.colours = this.program(COLOURS);
    const corners = gl.createBuffer();
    gl.bindBuffer(gl.ARRAY_BUFFER, corners);
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array([0, 0, 1, 0, 0, 1, 1, 1]), gl.STATIC_DRAW);
    gl.enableVertexAttribArray(0);
    gl.vertexAttribPointer(0, 2, gl.FLOAT, false, 0, 0);
    this.target = gl.createFramebuffer();
    this.empty = gl.createTexture();
    this.emptyPlane = this.plane(new Uint8Array(1), 1, 1, false);
    this.lut = null;
    this.lutSize = 0;
    /** @type {Record<string, any>} pictures by name: texture and size, upright */
    this.pictures = {};
    /** @type {Record<string, WebGLTexture | null>} what videos show now */
    this.videos = {};
    /** @type {Record<string, any>} frames as they came, to be developed again with another table */
    this.frames = {};
  }

  program(fragment) {
    const gl = this.gl, program = gl.createProgram();
    for (const [type, text] of [[gl.VERTEX_SHADER, VERTEX], [gl.FRAGMENT_SHADER, fragment]]) {
      const shader = gl.createShader(type);
      gl.shaderSource(shader, text);
      gl.compileShader(shader);
      gl.attachShader(program, shader);
    }
    gl.bindAttribLocation(program, 0, 'p');
    gl.linkProgram(program);
    if (!gl.getProgramParameter(program, gl.LINK_STATUS)) { throw new Error(gl.getProgramInfoLog(program) ?? 'a shader'); }
    const places = {};
    for (let i = 0; i < gl.getProgramParameter(program, gl.ACTIVE_UNIFORMS); i++) {
      const name = gl.getActiveUniform(program, i).name;
      places[name] = gl.getUniformLocation(program, name);
    }
    return { program, places };
  }

  texture(filter) {
    const gl = this.gl, t = gl.createTexture();
    gl.bindTexture(gl.TEXTURE_2D, t);
    for (const p of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) { gl.texParameteri(gl.TEXTURE_2D, p, filter); }
    for (const p of [gl.TEXTURE_WRAP_S, gl.TEXTURE_WRAP_T]) { gl.texParameteri(gl.TEXTURE_2D, p, gl.CLAMP_TO_EDGE); }
    return t;
  }

  plane(data, width, height, wide) {
    const gl = this.gl, t = this.texture(gl.NEAREST);
    const values = wide ? new Uint16Array(data.buffer, data.byteOffset, data.byteLength / 2) : data;
    gl.texImage2D(gl.TEXTURE_2D, 0, wide ? gl.R16UI : gl.R8UI, width, height, 0, gl.RED_INTEGER, wide ? gl.UNSIGNED_SHORT : gl.UNSIGNED_BYTE, values);
    return t;
  }

  /** Takes a frame: the server's header and its planes. */
  setFrame(name, header, data) {
    const gl = this.gl;
    for (const t of this.frames[name]?.planes ?? []) { gl.deleteTexture(t); }
    const unit = header.isWide ? 2 : 1, first = header.width * header.height * unit, other = header.chromaWidth * header.chromaHeight * unit;
    const cut = (from, length) => data.slice(from, from + length);
    this.frames[name] = {
      header, seconds: header.seconds, swaps: header.orientation >= 5,
      planes: [
        this.plane(cut(0, first), header.width, header.height, header.isWide),
        this.plane(cut(first, other), header.chromaWidth, header.chromaHeight, header.isWide),
        this.plane(cut(first + other, other), header.chromaWidth, header.chromaHeight, header.isWide),
      ],
    };
    this.developAll(name);
  }

  /** Takes what a video shows now: close to the exact picture, and upright by the browser. */
  setVideo(name, video) {
    const gl = this.gl;
    this.videos[name] ??= this.texture(gl.LINEAR);
    gl.bindTexture(gl.TEXTURE_2D, this.videos[name]);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, gl.RGBA, gl.UNSIGNED_BYTE, video);
    this.run(name, { source: 2, texture: this.videos[name], width: video.videoWidth, height: video.videoHeight });
  }

  setTable(data, size) {
    const gl = this.gl;
    this.lut ??= gl.createTexture();
    gl.bindTexture(gl.TEXTURE_3D, this.lut);
    for (const p of [gl.TEXTURE_MIN_FILTER, gl.TEXTURE_MAG_FILTER]) { gl.texParameteri(gl.TEXTURE_3D, p, gl.NEAREST); }
    gl.texImage3D(gl.TEXTURE_3D, 0, gl.RGB32F, size, size, size, 0, gl.RGB, gl.FLOAT, data);
    this.lutSize = size;
    for (const name of Object.keys(this.frames)) { this.developAll(name); }
  }

  developAll(name) {
    const f = this.frames[name], h = f.header;
    this.run(name, { source: h.isYcbcr ? 0 : 1, frame: f, width: f.swaps ? h.height : h.width, height: f.swaps ? h.width : h.height });
  }

  run(name, from) {
    this.developOne(name, from, false);
    if (name === 'b' && this.lut) { this.developOne('matched', from, true); }
  }

  developOne(name, from, corrected) {
    const gl = this.gl, { program, places } = this.develop;
    const picture = this.pictures[name] ??= { texture: this.texture(gl.LINEAR), width: 0, height: 0 };
    gl.activeTexture(gl.TEXTURE0);
    gl.bindTexture(gl.TEXTURE_2D, picture.texture);
    if (picture.width !== from.width || picture.height !== from.height) {
      gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA8, from.width, from.height, 0, gl.RGBA, gl.UNSIGNED_BYTE, null);
      [picture.width, picture.height] = [from.width, from.height];
    }
    gl.bindFramebuffer(gl.FRAMEBUFFER, this.target);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, picture.texture, 0);
    gl.viewport(0, 0, from.width, from.height);
    gl.useProgram(program);
    const planes = from.frame?.planes ?? [this.emptyPlane, this.emptyPlane, this.emptyPlane];
    ['y', 'cb', 'cr'].forEach((n, i) => { gl.activeTexture(gl.TEXTURE1 + i); gl.bindTexture(gl.TEXTURE_2D, planes[i]); gl.uniform1i(places[n], 1 + i); });
    gl.activeTexture(gl.TEXTURE4);
    gl.bindTexture(gl.TEXTURE_2D, from.texture ?? this.empty);
    gl.uniform1i(places.video, 4);
    gl.activeTexture(gl.TEXTURE5);
    gl.bindTexture(gl.TEXTURE_3D, this.lut);
    gl.uniform1i(places.lut, 5);
    gl.uniform1i(places.source, from.source);
    gl.uniform1i(places.corrected, corrected ? 1 : 0);
    const h = from.frame?.header;
    if (h) {
      gl.uniform2i(places.stored, h.width, h.height);
      gl.uniform2i(places.chroma, h.chromaWidth, h.chromaHeight);
      gl.uniform2i(places.shift, h.shiftX, h.shiftY);
      gl.uniform2f(places.origin, h.chromaX, h.chromaY);
      gl.uniform2f(places.luma, h.scale, h.offset);
      gl.uniform2f(places.span, h.chromaScale, h.chromaOffset);
      gl.uniform2f(places.k, h.kr, h.kb);
      gl.uniformMatrix3fv(places.turn, false, TURNS[h.orientation] ?? TURNS[1]);
    }
    gl.uniform4f(places.box, -1, -1, 2, 2);
    gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    gl.activeTexture(gl.TEXTURE0);
  }

  /** Clears to the surround, which is the same grey in light and dark. */
  clear() {
    const gl = this.gl, ratio = Math.min(devicePixelRatio || 1, 2);
    const width = Math.max(1, Math.round(this.element.clientWidth * ratio)), height = Math.max(1, Math.round(this.element.clientHeight * ratio));
    if (this.element.width !== width || this.element.height !== height) { [this.element.width, this.element.height] = [width, height]; }
    gl.viewport(0, 0, width, height);
    gl.clearColor(118 / 255, 118 / 255, 118 / 255, 1);
    gl.clear(gl.COLOR_BUFFER_BIT);
  }

  /**
   * Draws a picture, or two with a line between.
   * @param {{x: number, y: number, w: number, h: number}} rect in CSS pixels of the canvas
   * @param {string} left
   * @param {string} right
   * @param {number} split share of the width that shows the left one
   * @param {number[]} crop x, y, width, height of the part shown, shares
   */
  draw(rect, left, right = left, split = 1, crop = [0, 0, 1, 1]) {
    const gl = this.gl, { program, places } = this.compose;
    const a = this.pictures[left], b = this.pictures[right] ?? a;
    if (!a) { return; }
    gl.useProgram(program);
    [a, b].forEach((picture, i) => { gl.activeTexture(gl.TEXTURE0 + i); gl.bindTexture(gl.TEXTURE_2D, picture.texture); gl.uniform1i(places[['left', 'right'][i]], i); });
    gl.uniform1f(places.split, split);
    gl.uniform4f(places.crop, crop[0], crop[1], crop[2], crop[3]);
    const w = this.element.clientWidth, h = this.element.clientHeight;
    gl.viewport(0, 0, this.element.width, this.element.height);
    gl.uniform4f(places.box, 2 * rect.x / w - 1, 1 - 2 * (rect.y + rect.h) / h, 2 * rect.w / w, 2 * rect.h / h);
    gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);
    gl.activeTexture(gl.TEXTURE0);
  }

  /** Takes a picture that came as a file (the difference map). */
  setImage(name, bitmap) {
    const gl = this.gl, picture = this.pictures[name] ??= { texture: this.texture(gl.LINEAR), width: 0, height: 0 };
    gl.bindTexture(gl.TEXTURE_2D, picture.texture);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, gl.RGBA, gl.UNSIGNED_BYTE, bitmap);
    [picture.width, picture.height] = [bitmap.width, bitmap.height];
  }

  /** The pixels of a picture, rows from the top, RGBA of 8 bits. */
  read(name) {
    const gl = this.gl, picture = this.pictures[name];
    if (!picture?.width) { return null; }
    const data = new Uint8Array(picture.width * picture.height * 4);
    gl.bindFramebuffer(gl.FRAMEBUFFER, this.target);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, picture.texture, 0);
    gl.readPixels(0, 0, picture.width, picture.height, gl.RGBA, gl.UNSIGNED_BYTE, data);
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    return { data, width: picture.width, height: picture.height };
  }

  /** A picture that could not be loaded is not replaced by an older one. */
  forget(name) {
    for (const n of name === 'b' ? ['b', 'matched'] : [name]) { delete this.pictures[n]; }
    delete this.frames[name];
  }

  /** The mean codes of a picture's parts (16 to a side, three channels), to be compared with another of any size. */
  means(name) {
    const picture = this.read(name), n = 16;
    if (!picture) { return null; }
    const sums = new Float64Array(3 * n * n), counts = new Float64Array(n * n), { data, width, height } = picture;
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const part = Math.floor(y * n / height) * n + Math.floor(x * n / width), i = 4 * (y * width + x);
        counts[part]++;
        for (let c = 0; c < 3; c++) { sums[3 * part + c] += data[i + c]; }
      }
    }
    return sums.map((v, i) => v / counts[Math.floor(i / 3)]);
  }

  /** Colours (r, g, b, r, g, b, ...; 0..1) through the table that the pictures go through, in floats; null where floats cannot be drawn. */
  correct(colours) {
    const gl = this.gl;
    if (!this.lut || !gl.getExtension('EXT_color_buffer_float')) { return null; }
    const n = colours.length / 3, from = this.texture(gl.NEAREST);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGB32F, n, 1, 0, gl.RGB, gl.FLOAT, new Float32Array(colours));
    const to = this.texture(gl.NEAREST);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA32F, n, 1, 0, gl.RGBA, gl.FLOAT, null);
    gl.bindFramebuffer(gl.FRAMEBUFFER, this.target);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, to, 0);
    gl.viewport(0, 0, n, 1);
    const { program, places } = this.colours;
    gl.useProgram(program);
    gl.activeTexture(gl.TEXTURE4);
    gl.bindTexture(gl.TEXTURE_2D, from);
    gl.uniform1i(places.video, 4);
    gl.activeTexture(gl.TEXTURE5);
    gl.bindTexture(gl.TEXTURE_3D, this.lut);
    gl.uniform1i(places.lut, 5);
    gl.uniform4f(places.box, -1, -1, 2, 2);
    gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);
    const data = new Float32Array(4 * n);
    gl.readPixels(0, 0, n, 1, gl.RGBA, gl.FLOAT, data);
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    gl.activeTexture(gl.TEXTURE0);
    gl.deleteTexture(from);
    gl.deleteTexture(to);
    return Array.from({ length: 3 * n }, (_, i) => data[4 * Math.floor(i / 3) + i % 3]);
  }
}
