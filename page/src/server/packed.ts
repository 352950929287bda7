// Arrays travel as little-endian float32 in base64.

import type { Packed } from "./shapes";

const unpacked = new WeakMap<Packed, Float32Array>();

/** Numbers of a packed array; NaN where there is nothing. Unpacked once. */
export function numbers(packed: Packed): Float32Array {
  const known = unpacked.get(packed);
  if (known) return known;
  const text = atob(packed.f32);
  const bytes = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) bytes[i] = text.charCodeAt(i);
  const values = new Float32Array(bytes.buffer);
  unpacked.set(packed, values);
  return values;
}
