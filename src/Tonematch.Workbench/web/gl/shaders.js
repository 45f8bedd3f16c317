// The shaders. The page computes no correction itself: the table is the very one that is handed over.
// @ts-check

export const VERTEX = `#version 300 es
in vec2 p; uniform vec4 box; out vec2 uv;
void main() { uv = p; gl_Position = vec4(box.xy + p * box.zw, 0., 1.); }`;

// Interpolation in the tetrahedron of the cell: exact to a ten-thousandth of an 8-bit code in 32-bit floats.
const TETRAHEDRAL = `
vec3 through(vec3 c) {
  int n = textureSize(lut, 0).x - 1; vec3 q = clamp(c, 0., 1.) * float(n); ivec3 i = min(ivec3(q), ivec3(n - 1)); vec3 f = q - vec3(i);
  float hi = max(f.r, max(f.g, f.b)), lo = min(f.r, min(f.g, f.b)), mid = max(min(f.r, f.g), min(max(f.r, f.g), f.b));
  ivec3 first = f.r >= max(f.g, f.b) ? ivec3(1,0,0) : f.g >= f.b ? ivec3(0,1,0) : ivec3(0,0,1);
  ivec3 last = f.b <= min(f.r, f.g) ? ivec3(1,1,0) : f.g <= f.r ? ivec3(1,0,1) : ivec3(0,1,1);
  return texelFetch(lut, i, 0).rgb * (1. - hi) + texelFetch(lut, i + first, 0).rgb * (hi - mid)
       + texelFetch(lut, i + last, 0).rgb * (mid - lo) + texelFetch(lut, i + 1, 0).rgb * lo;
}`;

// A stored frame to an upright picture: planes of Y'CbCr or R'G'B' as decoded (source 0, 1), or a video's picture (2).
export const DEVELOP = `#version 300 es
precision highp float; precision highp int; precision highp sampler2D; precision highp sampler3D; precision highp usampler2D;
in vec2 uv; out vec4 o;
uniform usampler2D y, cb, cr; uniform sampler2D video; uniform sampler3D lut;
uniform int source; uniform bool corrected;
uniform ivec2 stored, chroma, shift; uniform vec2 origin, luma, span; uniform vec2 k;
uniform mat3 turn;
${TETRAHEDRAL}
float at(usampler2D s, ivec2 i) { return float(texelFetch(s, clamp(i, ivec2(0), chroma - 1), 0).r); }
float chromaAt(usampler2D s, ivec2 p) {
  vec2 c = (vec2(p) - origin) / vec2(ivec2(1) << shift); vec2 i = floor(c), f = c - i; ivec2 n = ivec2(i);
  return mix(mix(at(s, n), at(s, n + ivec2(1,0)), f.x), mix(at(s, n + ivec2(0,1)), at(s, n + ivec2(1,1)), f.x), f.y) * span.x + span.y;
}
void main() {
  vec3 c;
  if (source == 2) { c = texture(video, uv).rgb; }
  else {
    ivec2 p = clamp(ivec2((turn * vec3(uv, 1.)).xy * vec2(stored)), ivec2(0), stored - 1);
    float l = float(texelFetch(y, p, 0).r) * luma.x + luma.y;
    if (source == 1) { c = vec3(l, float(texelFetch(cb, p, 0).r) * luma.x + luma.y, float(texelFetch(cr, p, 0).r) * luma.x + luma.y); }
    else {
      float u = chromaAt(cb, p), v = chromaAt(cr, p), kg = 1. - k.x - k.y;
      c = vec3(l + 2. * (1. - k.x) * v, l - 2. * k.y * (1. - k.y) / kg * u - 2. * k.x * (1. - k.x) / kg * v, l + 2. * (1. - k.y) * u);
    }
  }
  if (corrected) { c = through(c); }
  o = vec4(c, 1.);
}`;

// Pictures onto the canvas: one, or two with a line between them; `crop` is the part that is shown.
export const COMPOSE = `#version 300 es
precision highp float;
in vec2 uv; out vec4 o;
uniform sampler2D left, right; uniform float split; uniform vec4 crop;
void main() {
  vec2 p = crop.xy + vec2(uv.x, 1. - uv.y) * crop.zw;
  if (p.x < 0. || p.y < 0. || p.x > 1. || p.y > 1.) { o = vec4(vec3(118. / 255.), 1.); return; }
  o = vec4((uv.x < split ? texture(left, p) : texture(right, p)).rgb, 1.);
}`;

// Single colours through the table, in floats: so that what is shown can be read back and compared.
export const COLOURS = `#version 300 es
precision highp float; precision highp int; precision highp sampler2D; precision highp sampler3D;
in vec2 uv; out vec4 o; uniform sampler2D video; uniform sampler3D lut;
${TETRAHEDRAL}
void main() { o = vec4(through(texelFetch(video, ivec2(gl_FragCoord.xy), 0).rgb), 1.); }`;
