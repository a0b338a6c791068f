// The hand: what it holds, where it has moved it, and the command that would make that so.
import type { Command, Thing } from "../api/types";
import { type Spot } from "../drawing/view";
import { work } from "./work.svelte";

const KEY_REST_MS = 450;

type Grip = { thing: Thing; corner: number | null; from: Spot; to: Spot; snap: boolean; moves: number };

class Hand {
  grip = $state.raw<Grip | null>(null);
  #rest: ReturnType<typeof setTimeout> | undefined;
  #dropping = false;

  get key(): string {
    const grip = this.grip;
    return grip ? (grip.corner === null ? grip.thing.key : `${grip.thing.key}.outline[${grip.corner}]`) : "";
  }

  take(thing: Thing, corner: number | null = null): void {
    if (work.state?.read_only) return;
    clearTimeout(this.#rest);
    const from = (corner === null ? thing.at : thing.outline[corner]!) as Spot;
    this.grip = { thing, corner, from, to: from, snap: true, moves: 0 };
    work.trouble = null;
  }

  moveTo(to: Spot, snap = true): void {
    if (!this.grip) return;
    this.grip = { ...this.grip, to, snap, moves: this.grip.moves + 1 };
    work.live.ask({
      key: this.grip.thing.key,
      commands: [this.#command()],
      look: work.look,
      base: work.state!.revision,
      curves_mm: work.curves_mm,
    });
  }

  /** Move by keys; what has come to rest for a moment is saved. */
  nudge(thing: Thing, dx: number, dy: number): void {
    if (work.state?.read_only) return;
    if (this.grip?.thing.key !== thing.key || this.grip.corner !== null) this.take(thing);
    const [x, y] = this.grip!.to;
    this.moveTo([x + dx, y + dy], false);
    clearTimeout(this.#rest);
    this.#rest = setTimeout(() => void this.drop(), KEY_REST_MS);
  }

  /** Let go: what was moved is saved. */
  async drop(): Promise<void> {
    clearTimeout(this.#rest);
    const grip = this.grip;
    if (!grip || this.#dropping) return;
    work.live.forget();
    if (!grip.moves) {
      this.grip = null;
      return;
    }
    this.#dropping = true;
    const command = this.#command();
    try {
      if (await work.edit([command], "hand")) work.keepHeard();
      else work.forgetHeard();
    } finally {
      this.#dropping = false;
      if (this.grip === grip) this.grip = null;
      work.followed = null;
    }
  }

  cancel(): void {
    clearTimeout(this.#rest);
    work.live.forget();
    work.forgetHeard();
    this.grip = null;
    work.followed = null;
  }

  #command(): Command {
    const { thing, to, snap } = this.grip!;
    if (thing.kind === "wall") return { do: "slide wall", wall: thing.number!, to, snap };
    return { do: "move", key: this.key, to, snap };
  }
}

export const hand = new Hand();
