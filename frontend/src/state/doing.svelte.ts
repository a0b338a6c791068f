// What is being done, and the sentence where it was refused; buttons wait for it.

export class Doing {
  /** The newest last. */
  jobs = $state<string[]>([]);
  trouble = $state("");

  get busy(): string {
    return this.jobs.at(-1) ?? "";
  }

  protected async try(what: string, job: () => Promise<void>): Promise<void> {
    this.jobs = [...this.jobs, what];
    this.trouble = "";
    try {
      await job();
    } catch (refused) {
      this.trouble = refused instanceof Error ? refused.message : String(refused);
    } finally {
      this.jobs = this.jobs.filter((one) => one !== what);
    }
  }
}
