// The drawing's style sheet, made at build time from the same tokens that paper and exports use.
import { readFileSync } from "node:fs";
import type { Plugin } from "vite";

type Style = {
  stroke?: string;
  width_mm?: number;
  dash?: string;
  fill?: string;
  cap?: string;
  text_pt?: number;
  ink?: string;
  weight?: string;
  slant?: string;
  halo?: boolean;
};
type Tokens = {
  themes: Record<string, Record<string, string>>;
  dashes: Record<string, number[]>;
  hatches: Record<string, { width_mm: number; stroke: string }>;
  letters: { family: string; fallback: string };
  styles: Record<string, Style>;
};

const NAME = "virtual:drawing.css";
const MM_PER_PT = 25.4 / 72;

export function drawingCss(file: string): Plugin {
  return {
    name: "drawing-css",
    resolveId: (id) => (id === NAME ? `\0${NAME}` : undefined),
    load: (id) => (id === `\0${NAME}` ? sheet(JSON.parse(readFileSync(file, "utf-8")) as Tokens) : undefined),
  };
}

export function sheet(tokens: Tokens): string {
  const rules = [
    theme(":root", tokens.themes["paper"]!),
    theme(':root[data-theme="blueprint"]', tokens.themes["blueprint"]!),
    `@media print{${theme(":root", tokens.themes["print"]!)}}`,
    `.drawing text{font-family:'${tokens.letters.family}',${tokens.letters.fallback}}`,
  ];
  for (const [name, style] of Object.entries(tokens.styles)) {
    rules.push(`.drawing .${className(name)}{${line(style, tokens)}}`);
    if (style.text_pt) rules.push(`.drawing text.${className(name)}{${letters(style)}}`);
  }
  for (const [name, hatch] of Object.entries(tokens.hatches)) {
    rules.push(`.hatch-${name}{fill:none;stroke:var(--${slug(hatch.stroke)});stroke-width:${hatch.width_mm}}`);
  }
  return rules.join("\n");
}

const slug = (name: string): string => name.replaceAll(" ", "-");

export const className = (style: string): string => `s-${slug(style)}`;

function theme(selector: string, colours: Record<string, string>): string {
  const set = Object.entries(colours).map(([role, colour]) => `--${slug(role)}:${colour}`);
  return `${selector}{${set.join(";")}}`;
}

function line(style: Style, tokens: Tokens): string {
  const fill = `fill:${style.fill ? `var(--${slug(style.fill)})` : "none"}`;
  if (!style.stroke) return fill;
  const width = style.width_mm ?? 0;
  const dash = (tokens.dashes[style.dash ?? "solid"] ?? []).map((part) => (part * width).toFixed(3)).join(" ");
  const cap = style.cap ? `;stroke-linecap:${style.cap}` : "";
  const dashed = dash ? `;stroke-dasharray:${dash}` : "";
  return `${fill};stroke:var(--${slug(style.stroke)});stroke-width:${width};stroke-linejoin:round${cap}${dashed}`;
}

function letters(style: Style): string {
  const size = ((style.text_pt ?? 0) * MM_PER_PT).toFixed(3);
  const weight = style.weight === "bold" ? ";font-weight:700" : "";
  const slant = style.slant === "italic" ? ";font-style:italic" : "";
  const base = `fill:var(--${slug(style.ink ?? "ink")});font-size:${size}px;stroke-dasharray:none${weight}${slant}`;
  return style.halo
    ? `${base};stroke:var(--paper);stroke-width:.9;stroke-linejoin:round;paint-order:stroke`
    : `${base};stroke:none`;
}
