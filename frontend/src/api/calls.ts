// The JSON API: every call returns its value or throws a Refusal, whose message is a sentence for the person.
import type {
  AlignmentTold,
  Command,
  Comparison,
  Finding,
  Heard,
  JudgedTold,
  MicrophoneFile,
  Plan,
  Practice,
  SinkTold,
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
export type RevisionLine = { revision: number; why: string; at: string };
export type SchemaNode = Record<string, any>;
export type Choices = { systems: { name: string; shorthand: string; source: string }[]; finishes: string[] };

export type Cautions = { parts: { title: string; text: string }[]; close: string };

/** How the view wants the floor: scale, paper in millimetres, what lies over it. */
export type Over = "" | "runs" | "bass" | "listener";
export type Look = { scale: number; width: number; height: number; over: Over };

export type TakeSent = {
  recordings: string[];
  runs: string[];
  place: string;
  as_used: boolean;
  microphone_column: number | null;
  loopback_column: number | null;
  compensation: string;
  full_scale_db: number | null;
  note: string;
};
export type SweepsSent = { length_s: number; level_db: number; rate_hz: number; chirps: string };
/** For whom the alignment is, and what it aims at; null leaves the usual. */
export type Wished = {
  all_seats: boolean;
  slope_db_per_octave: number | null;
  bass_db: number | null;
  lfe_limit_hz: number | null;
  filters: number | null;
};

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

const put_named = <T>(path: string, name: string, content: Blob): Promise<T> =>
  put<T>(`${path}?${new URLSearchParams({ name })}`, content);

const chosen = (wished: Wished): [string, boolean | number][] =>
  Object.entries(wished).flatMap(([key, value]) => (value === null ? [] : [[key, value]]));

const asked = (wished: Wished, more: Record<string, string> = {}): URLSearchParams =>
  new URLSearchParams([...chosen(wished).map(([key, value]) => [key, String(value)]), ...Object.entries(more)]);

/** Where one of the files that an alignment names can be taken from. */
export const valueFile = (name: string, wished: Wished): string =>
  `/api/alignment/files/${encodeURIComponent(name)}?${asked(wished)}`;

export const api = {
  state: () => call<State>("state"),
  plan: () => call<PlanReply>("plan"),
  floor: (look: Look) => call<Scene>(`drawing/floor?${new URLSearchParams(Object.entries(look).map(([k, v]) => [k, String(v)]))}`),
  walls: (width: number, height: number) =>
    call<Scene[]>(`drawing/walls?width=${width.toFixed(0)}&height=${height.toFixed(0)}`),
  bass: (width: number, height: number) =>
    call<Scene | null>(`drawing/bass?width=${width.toFixed(0)}&height=${height.toFixed(0)}`),
  solid: () => call<Solid>("solid"),
  edit: (commands: Command[], base?: number) => post<{ revision: number; told: string }>("edits", { commands, base: base ?? null }),
  undo: () => post<{ revision: number }>("undo"),
  redo: () => post<{ revision: number }>("redo"),
  stop: () => post<{ stopped: boolean }>("stop"),
  revisions: () => call<RevisionLine[]>("revisions"),
  compare: (left: number, right: number) => call<Comparison>(`compare?left=${left}&right=${right}`),
  ticks: () => call<Record<string, boolean>>("ticks"),
  tick: (what: string, done: boolean) => post<Record<string, boolean>>("ticks", { what, done }),
  schema: () => call<SchemaNode>("schema"),
  choices: () => call<Choices>("choices"),
  cautions: () => call<Cautions>("cautions"),
  readSink: (content: Blob) => put<SinkTold>("sink-report", content),
  work: () => call<WorkStep[]>("work"),
  sweeps: () => call<Sweeps>("sweeps"),
  chooseSweeps: (wanted: SweepsSent) => post<Sweeps>("sweeps", wanted),
  sweepFile: (number: number) => bytes(`sweeps/${number}.wav`),
  takes: () => call<TakesTold>("takes"),
  keepTake: (take: TakeSent) => post<TakesTold>("takes", take),
  alignment: (wished: Wished, room: boolean) =>
    call<AlignmentTold>(`alignment?${asked(wished, { with_room: String(room) })}`),
  typed: (wished: Wished) => post<AlignmentTold>("alignment/typed", Object.fromEntries(chosen(wished))),
  judged: (values: string, wished: Wished) =>
    call<JudgedTold>(`alignment/judged?${asked(wished, { values })}`),
  practise: (seed: number, faults: number, positions: number) => post<Practice>("practice", { seed, faults, positions }),
  sound: () => call<Sound>("sound"),
  level: (source: string) => call<Heard>(`sound/level?${new URLSearchParams({ source })}`),
  record: (output: string, source: string, channels: number, run: string) =>
    post<Waiting | null>("sound/recording", { output, source, channels, run }),
  putRecording: (name: string, content: Blob) => put_named<Waiting>("recordings", name, content),
  putMicrophone: (name: string, content: Blob) => put_named<MicrophoneFile>("microphone-file", name, content),
  putPicture: (content: Blob) => put<{ file: string }>("pictures", content),
};
