// Findings as margin notes: in their order, numbered, and the step of the job that each belongs to.
import type { Finding } from "../api/types";

export type Numbered = { finding: Finding; number: number; heavy: boolean };

export const WORD = { stop: "Stop", fix: "Mend", note: "Note" } as const;

export const nameOf = (finding: { code: string; subject: string }): string => `${finding.code}@${finding.subject}`;

/** Number findings in the order they come, the worst first. */
export const numbered = (findings: readonly Finding[]): Numbered[] =>
  findings.map((finding, index) => ({ finding, number: index + 1, heavy: finding.severity !== "note" }));

/** What stands in the file at the place that a finding speaks of: `loudspeaker[3].at` is `loudspeaker[3]`. */
export const thingKey = (key: string): string => /^[a-z_]+\[\d+\]|^screen/.exec(key)?.[0] ?? "";

/** Findings that were there and are not any more. */
export function mended(before: readonly Finding[], now: readonly Finding[]): Finding[] {
  const there = new Set(now.map(nameOf));
  return before.filter((finding) => !there.has(nameOf(finding)));
}

export function quantity(value: number | string | null, unit: string): string {
  if (value === null) return "";
  if (typeof value === "string") return value;
  const text = Number(value.toPrecision(3)).toString().replace("-", "−");
  return `${text}${unit && unit !== "°" ? " " : ""}${unit}`;
}
