// The JSON API: every call returns its value or throws a Refusal, whose message is a sentence for the person.
import type {
  AlignmentTold,
  Command,
  Comparison,
  Finding,
  Heard,
  Plan,
  Practice,
  Solid,
  Sound,
  State,
  Sweeps,
  TakesTold,
  Waiting,
  WorkStep,
} from "./types";

export type Fault = { file: string; line: number; key: string; found: string; wanted: string; nearest: string };
export type Piece = {
  kind: "line" | "area" | "circle" | "arc" | "text";
  style: string;
  ref: string;
  key?: string;
  points?: [number, number][];
  closed?: boolean;
  outline?: [number, number][];
  holes?: [number, number][][];
  centre?: [number, number];
  radius_m?: number;
  from_deg?: number;
  sweep_deg?: number;
  at?: [number, number];
  text?: string;
  anchor?: "start" | "middle" | "end";
  rise?: "base" | "middle" | "top";
  angle_deg?: number;
  counts?: number[];
};
export type Scene = {
  name: string;
  about: string;
  scale: number;
  bounds: [number, number, number, number];
  pieces: Piece[];
};
export type PlanReply = Partial<Omit<Plan, "survey">> & { survey: Plan["survey"]; findings: Finding[] };
export type RevisionLine = { revision: number; why: string };
export type SchemaNode = Record<string, any>;
export type Choices = { systems: { name: string; shorthand: string; source: string }[]; finishes: string[] };

/** How the view wants the floor: scale, paper in millimetres, what lies over it. */
export type Over = "" | "runs" | "bass" | "listener";
export type Look = { scale: number; width: number; height: number; over: Over };

export type TakeSent = { recordings: string[]; runs: string[]; place: string; as_used: boolean };

export class Refusal extends Error {
  constructor(
    readonly status: number,
    readonly body: { sentence?: string; faults?: Fault[]; was?: string; now?: string },
  ) {
    super(sentenceOf(body));
  }
}

function sentenceOf(body: { sentence?: string; faults?: Fault[] }): string {
  const faults = body.faults;
  if (!faults?.length) return body.sentence ?? "The workbench gave no answer; is `seatfield serve` still running?";
  return faults.map((f) => `${f.key ? `${f.key}: ` : ""}found ${f.found}; wanted ${f.wanted}.`).join(" ");
}

async function call<T>(path: string, request?: RequestInit): Promise<T> {
  let reply: Response;
  try {
    reply = await fetch(`/api/${path}`, request);
  } catch {
    throw new Refusal(0, {});
  }
  const body: unknown = await reply.json().catch(() => ({}));
  if (!reply.ok) throw new Refusal(reply.status, body as Refusal["body"]);
  return body as T;
}

const post = <T>(path: string, body: unknown = {}): Promise<T> =>
  call<T>(path, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) });

const put = <T>(path: string, content: Blob): Promise<T> =>
  call<T>(path, { method: "PUT", headers: { "content-type": "application/octet-stream" }, body: content });

async function bytes(path: string): Promise<ArrayBuffer> {
  const reply = await fetch(`/api/${path}`);
  if (!reply.ok) throw new Refusal(reply.status, (await reply.json().catch(() => ({}))) as Refusal["body"]);
  return reply.arrayBuffer();
}

export const api = {
  state: () => call<State>("state"),
  plan: () => call<PlanReply>("plan"),
  floor: (look: Look) => call<Scene>(`drawing/floor?${new URLSearchParams(Object.entries(look).map(([k, v]) => [k, String(v)]))}`),
  walls: (width: number, height: number) =>
    call<Scene[]>(`drawing/walls?width=${width.toFixed(0)}&height=${height.toFixed(0)}`),
  bass: (width: number, height: number) =>
    call<Scene | null>(`drawing/bass?width=${width.toFixed(0)}&height=${height.toFixed(0)}`),
  solid: () => call<Solid>("solid"),
  edit: (commands: Command[], base?: number) => post<{ revision: number }>("edits", { commands, base: base ?? null }),
  undo: () => post<{ revision: number }>("undo"),
  redo: () => post<{ revision: number }>("redo"),
  stop: () => post<{ stopped: boolean }>("stop"),
  revisions: () => call<RevisionLine[]>("revisions"),
  compare: (left: number, right: number) => call<Comparison>(`compare?left=${left}&right=${right}`),
  ticks: () => call<Record<string, boolean>>("ticks"),
  tick: (what: string, done: boolean) => post<Record<string, boolean>>("ticks", { what, done }),
  schema: () => call<SchemaNode>("schema"),
  choices: () => call<Choices>("choices"),
  work: () => call<WorkStep[]>("work"),
  sweeps: () => call<Sweeps>("sweeps"),
  sweepFile: (number: number) => bytes(`sweeps/${number}.wav`),
  takes: () => call<TakesTold>("takes"),
  keepTake: (take: TakeSent) => post<TakesTold>("takes", take),
  alignment: (all: boolean) => call<AlignmentTold>(`alignment?all_seats=${all}`),
  typed: (all: boolean) => post<AlignmentTold>("alignment/typed", { all_seats: all }),
  practise: (seed: number, faults: number, positions: number) => post<Practice>("practice", { seed, faults, positions }),
  sound: () => call<Sound>("sound"),
  level: (source: string) => call<Heard>(`sound/level?${new URLSearchParams({ source })}`),
  record: (output: string, source: string, run: string) =>
    post<Waiting | null>("sound/recording", { output, source, channels: 1, run }),
  putRecording: (name: string, content: Blob) => put<Waiting>(`recordings?${new URLSearchParams({ name })}`, content),
  putPicture: (content: Blob) => put<{ file: string }>("pictures", content),
};
