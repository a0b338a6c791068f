// Frames of the live socket: uint32 length, a head in JSON, then float32 coordinates of the scene's lines and areas.
import type { Piece, Scene } from "./calls";
import type { Following } from "./types";

export type Frame =
  | { kind: "followed"; seq: number; following: Following; scene: Scene }
  | { kind: "heard"; seq: number; words: string; field: Scene | null; curves: Scene | null }
  | { kind: "refused"; seq: number; sentence: string }
  | { kind: "revision"; revision: number; why: string }
  | { kind: "progress"; stage: string };

export function readFrame(buffer: ArrayBuffer): Frame {
  const length = new DataView(buffer).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, length))) as Frame;
  const drawn = head.kind === "followed" ? head.scene : head.kind === "heard" ? head.field : null;
  if (drawn) fill(drawn.pieces, new Float32Array(buffer, 4 + length));
  return head;
}

function fill(pieces: Piece[], numbers: Float32Array): void {
  let at = 0;
  const ring = (count: number): [number, number][] =>
    Array.from({ length: count }, () => [numbers[at++]!, numbers[at++]!]);
  for (const piece of pieces) {
    if (!piece.counts) continue;
    const rings = piece.counts.map(ring);
    if (piece.kind === "line") piece.points = rings[0];
    else [piece.outline, piece.holes] = [rings[0], rings.slice(1)];
  }
}
