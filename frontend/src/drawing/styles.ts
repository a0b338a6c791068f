// What the drawing's styles say beyond colour and line, which the style sheet has: letter sizes and hatches.
import tokens from "../../../src/seatfield/drawing/style.json";

type Style = { text_pt?: number; hatch?: string };
type Hatch = { angle_deg: number; spacing_mm: number };

const STYLES = tokens.styles as Record<string, Style>;
export const HATCHES: Record<string, Hatch> = tokens.hatches;

export const className = (style: string): string => `s-${style.replaceAll(" ", "-")}`;
export const lettersMm = (style: string): number => ((STYLES[style]?.text_pt ?? 8) * 25.4) / 72;
export const hatchOf = (style: string): string => STYLES[style]?.hatch ?? "";
