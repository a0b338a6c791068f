// Paper or blueprint: as the person's system asks, until they choose.
const KEPT = "seatfield-sheet";

class Theme {
  dark = $state(false);

  start(): void {
    const kept = localStorage.getItem(KEPT);
    this.#set(kept ? kept === "blueprint" : matchMedia("(prefers-color-scheme: dark)").matches);
  }

  turn(): void {
    this.#set(!this.dark);
    localStorage.setItem(KEPT, this.dark ? "blueprint" : "paper");
  }

  #set(dark: boolean): void {
    this.dark = dark;
    document.documentElement.dataset["theme"] = dark ? "blueprint" : "paper";
  }
}

export const theme = new Theme();
