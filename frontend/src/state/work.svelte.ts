// What the page knows: the newest state, plan and drawing of the project, and what the person is at.
import { api, Refusal, type Choices, type Look, type Over, type PlanReply, type Scene, type SchemaNode } from "../api/calls";
import type { Frame } from "../api/frames";
import { Live, type Size } from "../api/live";
import type { Command, Following, State, Thing } from "../api/types";
import { fitted, pxPerMm, scaleOf, type View } from "../drawing/view";
import { press } from "./press.svelte";

export type Sight = "plan" | "walls" | "round" | "compare";
export type Heard = { words: string; field: Scene | null; curves: Scene | null; revision: number | null };
export type Trouble = { sentence: string; key: string };

const RESCALE_MS = 220;

class Work {
  state = $state.raw<State | null>(null);
  plan = $state.raw<PlanReply | null>(null);
  scene = $state.raw<Scene | null>(null);
  schema = $state.raw<SchemaNode | null>(null);
  choices = $state.raw<Choices>({ systems: [], finishes: [] });
  ticks = $state.raw<Record<string, boolean>>({});
  /** What moves now: the newest answer to the hand. */
  followed = $state.raw<{ following: Following; scene: Scene; seq: number } | null>(null);
  /** The bass as it would be; once the hand has let go, until the whole plan of that revision is there. */
  heard = $state.raw<Heard | null>(null);
  /** Up to which request of the hand the drawing, and the bass, answer. */
  answered = $state({ drawing: 0, bass: 0 });
  /** Size of the curves of the bass while they are on the page. */
  curves_mm: Size | null = null;
  view = $state.raw<View>({ width: 0, height: 0, centre: [0, 0], pxPerM: 100 });
  sight = $state<Sight>("plan");
  step = $state("room");
  selected = $state("");
  over = $state<Over>("");
  connected = $state(true);
  stage = $state("");
  saved = $state("saved");
  trouble = $state.raw<Trouble | null>(null);
  /** What the newest change did besides what was typed, until the next one. */
  said = $state("");

  readonly live = new Live(
    (frame) => this.#hear(frame),
    (yes) => {
      const back = yes && !this.connected;
      this.connected = yes;
      if (back) void this.load();
    },
  );
  #fitted = false;
  #deafTo = 0;
  #drawnFor = "";
  #rescale: ReturnType<typeof setTimeout> | undefined;
  #loading: Promise<void> | null = null;
  #next: Promise<void> | null = null;
  #sent: Promise<unknown> = Promise.resolve();
  /** The revision that the page's own newest change made directly on what it shows. */
  #made = 0;

  get things(): Thing[] {
    return this.state?.things ?? [];
  }

  get thing(): Thing | undefined {
    return this.things.find((one) => one.key === this.selected);
  }

  get busy(): boolean {
    return this.stage !== "";
  }

  async start(): Promise<void> {
    this.live.open();
    await this.load();
    const [schema, choices, ticks] = await Promise.all([api.schema(), api.choices(), api.ticks()]);
    [this.schema, this.choices, this.ticks] = [schema, choices, ticks];
  }

  /** Load what stands now, or once what is being loaded has come: its answer may be older than this call. */
  load(): Promise<void> {
    if (this.#loading) {
      this.#next ??= this.#loading.then(() => {
        this.#next = null;
        return this.load();
      });
      return this.#next;
    }
    this.#loading = this.#load().finally(() => (this.#loading = null));
    return this.#loading;
  }

  async #load(): Promise<void> {
    try {
      const state = await api.state();
      await press.over();
      this.state = state;
      this.stage = state.progress.stage;
      const kept = this.heard?.revision ?? null;
      if (kept !== null && (state.whole || kept !== state.revision)) this.forgetHeard();
      if (!state.name && state.faults.length) return;
      this.#fitOnce();
      await Promise.all([this.draw(), this.#replan()]);
    } catch (refused) {
      this.tell(refused);
    }
  }

  async #replan(): Promise<void> {
    const plan = await api.plan();
    await press.over();
    this.plan = plan;
  }

  /** Fetch the drawing at the view's scale. */
  async draw(): Promise<void> {
    if (!this.view.width) return;
    const look = this.look;
    this.#drawnFor = JSON.stringify(look);
    this.scene = await api.floor(look);
    this.followed = null;
  }

  #fitOnce(): void {
    if (!this.view.width || !this.state || this.#fitted) return;
    this.view = fitted(this.state.reach, this.view.width, this.view.height);
    this.#fitted = true;
  }

  fit(): void {
    this.#fitted = false;
    this.#fitOnce();
    this.rescaleSoon();
  }

  resized(width: number, height: number): void {
    const first = !this.view.width;
    this.view = { ...this.view, width, height };
    this.#fitted = false;
    this.#fitOnce();
    if (!this.#fitted) return;
    if (first) void this.draw().catch((refused: unknown) => this.tell(refused));
    else this.rescaleSoon();
  }

  /** How the view wants the floor drawn. */
  get look(): Look {
    const { width, height } = this.view;
    const mm = pxPerMm(this.view);
    const two = (value: number): number => Math.round(value * 100) / 100;
    return { scale: two(scaleOf(this.view)), width: two(width / mm), height: two(height / mm), over: this.over };
  }

  /** Lay cable or bass over the plan, or nothing. */
  lay(over: Over): void {
    this.over = over;
    this.sight = "plan";
    this.rescaleSoon();
  }

  see(view: View): void {
    this.view = view;
    this.rescaleSoon();
  }

  /** Once the view rests, draw at its scale, so that letters have their size again. */
  rescaleSoon(): void {
    clearTimeout(this.#rescale);
    this.#rescale = setTimeout(() => {
      if (this.state && JSON.stringify(this.look) !== this.#drawnFor) void this.draw().catch((refused: unknown) => this.tell(refused));
    }, RESCALE_MS);
  }

  /** Make commands and save them; false where they were refused, with the reason told. */
  async edit(commands: Command[], key = ""): Promise<boolean> {
    this.saved = "saving …";
    try {
      const told = await this.#send(commands);
      await press.over();
      this.said = commands.some((one) => one.do === "wall length") ? told : "";
      this.trouble = null;
      this.saved = "saved";
      await this.load();
      return true;
    } catch (refused) {
      await press.over();
      this.saved = "not saved";
      this.tell(refused, key);
      if (refused instanceof Refusal && refused.status === 409) await this.load();
      return false;
    }
  }

  /** Send one change after the other: each is made on what the one before it left, even before that is shown. */
  #send(commands: Command[]): Promise<string> {
    const sent = this.#sent.then(async () => {
      const base = Math.max(this.state?.revision ?? 0, this.#made);
      const { revision, told } = await api.edit(commands, base);
      if (revision === base + 1) this.#made = revision;
      return told;
    });
    this.#sent = sent.catch(() => undefined);
    return sent;
  }

  async step_back(redo = false): Promise<void> {
    try {
      await (redo ? api.redo() : api.undo());
      this.trouble = null;
      this.saved = "saved";
      await this.load();
    } catch (refused) {
      this.tell(refused);
    }
  }

  async tick(what: string, done: boolean): Promise<void> {
    try {
      this.ticks = await api.tick(what, done);
    } catch (refused) {
      this.tell(refused);
    }
  }

  /** Stop what is computed beside the hand. */
  halt(): void {
    void api.stop().catch((refused: unknown) => this.tell(refused));
  }

  select(key: string, step?: string): void {
    this.selected = key;
    const thing = this.things.find((one) => one.key === key);
    if (step ?? thing?.step) this.step = step ?? thing!.step;
  }

  tell(refused: unknown, key = ""): void {
    const sentence = refused instanceof Error ? refused.message : String(refused);
    this.trouble = { sentence, key };
  }

  /** What was heard last holds for what has just been saved. */
  keepHeard(): void {
    if (this.state?.whole) this.forgetHeard();
    else if (this.heard) this.heard = { ...this.heard, revision: this.state!.revision };
  }

  /** What was heard holds no more, nor what is still being computed for the hand. */
  forgetHeard(): void {
    this.#deafTo = this.live.latest;
    this.heard = null;
  }

  #hear(frame: Frame): void {
    if (frame.kind === "followed" || frame.kind === "refused") this.answered.drawing = frame.seq;
    if (frame.kind === "heard") this.answered.bass = frame.seq;
    if (frame.kind === "followed") {
      this.followed = { following: frame.following, scene: frame.scene, seq: frame.seq };
      if (this.trouble?.key === "hand") this.trouble = null;
    } else if (frame.kind === "heard") {
      if (frame.seq > this.#deafTo) {
        this.heard = { words: frame.words, field: frame.field, curves: frame.curves, revision: this.heard?.revision ?? null };
      }
    } else if (frame.kind === "refused") {
      this.trouble = { sentence: frame.sentence, key: "hand" };
      this.followed = this.followed ? { ...this.followed, seq: frame.seq } : null;
    } else if (frame.kind === "revision") {
      if (frame.revision !== this.state?.revision) void this.load();
    } else {
      const ended = this.stage !== "" && frame.stage === "";
      this.stage = frame.stage;
      if (ended) void this.load();
    }
  }
}

export const work = new Work();
