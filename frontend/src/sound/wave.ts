// A WAV file of one channel in single precision (RIFF/WAVE, format 3: IEEE 754).
const HEAD_BYTES = 58;

export function waveOf(blocks: readonly Float32Array[], rate_hz: number): ArrayBuffer {
  const frames = blocks.reduce((sum, block) => sum + block.length, 0);
  const file = new ArrayBuffer(HEAD_BYTES + frames * 4);
  const view = new DataView(file);
  const word = (at: number, text: string): void => [...text].forEach((letter, k) => view.setUint8(at + k, letter.charCodeAt(0)));
  word(0, "RIFF");
  view.setUint32(4, file.byteLength - 8, true);
  word(8, "WAVEfmt ");
  view.setUint32(16, 18, true);
  view.setUint16(20, 3, true);
  view.setUint16(22, 1, true);
  view.setUint32(24, rate_hz, true);
  view.setUint32(28, rate_hz * 4, true);
  view.setUint16(32, 4, true);
  view.setUint16(34, 32, true);
  word(38, "fact");
  view.setUint32(42, 4, true);
  view.setUint32(46, frames, true);
  word(50, "data");
  view.setUint32(54, frames * 4, true);
  let at = HEAD_BYTES;
  for (const block of blocks) for (const value of block) view.setFloat32((at += 4) - 4, value, true);
  return file;
}

/** Largest sample, relative to full scale; null for silence. */
export function peak_db(block: Float32Array): number | null {
  const peak = block.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  return peak > 0 ? 20 * Math.log10(peak) : null;
}
