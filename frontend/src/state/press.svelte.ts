// A pointer that is held down on the page's words: nothing moves under it until it has let go and clicked.

/** A pointer that never comes back, such as one that opened a list of choices, holds nothing longer than this. */
const MOST_MS = 1500;

class Press {
  #waiting: (() => void)[] = [];
  #held = false;
  #most: ReturnType<typeof setTimeout> | undefined;

  start(): () => void {
    const events = ["pointerup", "pointercancel", "keydown"] as const;
    window.addEventListener("pointerdown", this.#down, true);
    for (const name of events) window.addEventListener(name, this.#soon, true);
    return () => {
      window.removeEventListener("pointerdown", this.#down, true);
      for (const name of events) window.removeEventListener(name, this.#soon, true);
    };
  }

  /** Come back once no pointer is held, and what it clicks has been told. */
  over(): Promise<void> {
    return this.#held ? new Promise((done) => this.#waiting.push(done)) : Promise.resolve();
  }

  /** Do something that moves the page, after the event that asks for it and never under a pointer. */
  later(change: () => void): void {
    setTimeout(() => void this.over().then(change));
  }

  // What is dragged on the drawing follows the pointer, and moves no words.
  #down = (event: PointerEvent): void => {
    if ((event.target as Element).closest?.(".drawing, .round")) return;
    this.#held = true;
    clearTimeout(this.#most);
    this.#most = setTimeout(this.#free, MOST_MS);
  };

  #soon = (): void => void setTimeout(this.#free);

  #free = (): void => {
    clearTimeout(this.#most);
    this.#held = false;
    for (const done of this.#waiting.splice(0)) done();
  };
}

export const press = new Press();
