// Pieces of a scene as SVG paths, in millimetres of paper from the scene's upper left corner.
import type { Piece, Scene } from "../api/calls";
import type { Spot } from "./view";

/** Height of capitals as a share of the letters' size: where a line of letters has its middle and its top. */
const CAPITAL = 0.717;

export const mmPerM = (scene: Scene): number => 1000 / scene.scale;

export function placer(scene: Scene): (spot: Spot) => Spot {
  const [left, , , top] = scene.bounds;
  const mm = mmPerM(scene);
  return ([x, y]) => [(x - left) * mm, (top - y) * mm];
}

const number = (value: number): string => String(Math.round(value * 100) / 100);

export function polyline(points: readonly Spot[], place: (spot: Spot) => Spot, closed: boolean): string {
  return `M${points.map((point) => place(point).map(number).join(" ")).join("L")}${closed ? "Z" : ""}`;
}

export function pathOf(piece: Piece, scene: Scene): string {
  const place = placer(scene);
  if (piece.kind === "line") return polyline(piece.points!, place, piece.closed ?? false);
  if (piece.kind === "area") {
    return [piece.outline!, ...(piece.holes ?? [])].map((ring) => polyline(ring, place, true)).join("");
  }
  return arc(piece, scene, place);
}

function arc(piece: Piece, scene: Scene, place: (spot: Spot) => Spot): string {
  const end = (angle_deg: number): string => {
    const angle = (angle_deg * Math.PI) / 180;
    const [x, y] = piece.centre!;
    return place([x + piece.radius_m! * Math.cos(angle), y + piece.radius_m! * Math.sin(angle)])
      .map(number)
      .join(" ");
  };
  const radius = number(piece.radius_m! * mmPerM(scene));
  const sweep = piece.sweep_deg!;
  const large = Math.abs(sweep) > 180 ? 1 : 0;
  return `M${end(piece.from_deg!)}A${radius} ${radius} 0 ${large} ${sweep < 0 ? 1 : 0} ${end(piece.from_deg! + sweep)}`;
}

export function letters(piece: Piece, scene: Scene, size_mm: number): { x: number; y: number; turn: string } {
  const [x, y] = placer(scene)(piece.at!);
  const drop = { base: 0, middle: CAPITAL / 2, top: CAPITAL }[piece.rise ?? "base"] * size_mm;
  const turn = piece.angle_deg ? `rotate(${number(-piece.angle_deg)} ${number(x)} ${number(y)})` : "";
  return { x, y: y + drop, turn };
}
