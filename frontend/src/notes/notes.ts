// Findings as margin notes: in their order, numbered, and the step of the job that each belongs to.
import type { Brief, Finding, Following } from "../api/types";

/** A finding in the margin; `id` is its own even where two share code and subject. */
export type Numbered = { id: string; finding: Finding; number: number; heavy: boolean };

export const WORD = { stop: "Stop", fix: "Mend", note: "Note" } as const;

export const nameOf = (finding: { code: string; subject: string }): string => `${finding.code}@${finding.subject}`;

/** Number findings in the order they come, the worst first. */
export const numbered = (findings: readonly Finding[]): Numbered[] =>
  findings.map((finding, index) => {
    const twins = findings.slice(0, index).filter((other) => nameOf(other) === nameOf(finding)).length;
    const id = twins ? `${nameOf(finding)} ${twins + 1}` : nameOf(finding);
    return { id, finding, number: index + 1, heavy: finding.severity !== "note" };
  });

/** What stands in the file at the place that a finding speaks of: `loudspeaker[3].at` is `loudspeaker[3]`. */
export const thingKey = (key: string): string => /^[a-z_]+\[\d+\]|^screen/.exec(key)?.[0] ?? "";

/** Findings that were there and are not any more. */
export function mended(before: readonly Finding[], now: readonly Finding[]): Finding[] {
  const there = new Set(now.map(nameOf));
  return before.filter((finding) => !there.has(nameOf(finding)));
}

/** Keep a number with its unit or fraction, a wall with both its letters, and a channel's name on one line. */
export const unbroken = (text: string): string =>
  text.replace(/(?<=[\d′″'"]) (?=\d|(?:[cmk]?m|dB|k?Hz|m?s|ohm|[AVW])\b|[%°Ω])/g, "\u00a0").replace(/(?<=\b[A-Z]\d*)–(?=[A-Z]\d*\b)/g, "\u2060–\u2060").replace(/(?<=\b[A-Z])-(?=\d{3}\b)/g, "-\u2060");

export function quantity(value: number | string | null, unit: string): string {
  if (value === null) return "";
  if (typeof value === "string") return value;
  const text = Number(value.toPrecision(3)).toString().replace("-", "−");
  return `${text}${unit && unit !== "°" ? " " : ""}${unit}`;
}

/** What a move that is not saved yet would change in the margin: notes that would go, and notes that would come. */
export function foreseen(findings: readonly Finding[], following: Following | undefined): { gone: Set<string>; fresh: Brief[] } {
  if (!following) return { gone: new Set(), fresh: [] };
  const then = new Set(following.findings.map(nameOf));
  const now = new Set(findings.map(nameOf));
  const followed = (code: string): boolean => following.stages.includes(code.split(".")[0]!);
  return {
    gone: new Set(findings.filter((one) => followed(one.code) && !then.has(nameOf(one))).map(nameOf)),
    fresh: following.findings.filter((one) => one.severity !== "note" && !now.has(nameOf(one))),
  };
}
