// Leading a person to the field or button that a word speaks of.
import { tick } from "svelte";

import { holder, stepOf } from "../notes/advice";
import { work } from "../state/work.svelte";

/** Open the step and the thing that a key of the file belongs to, and put the person into its field. */
export async function leadToField(key: string): Promise<void> {
  await open(key);
  const field = ["", "-0"].map((end) => document.getElementById(`f-${key}${end}`)).find(Boolean);
  reach(field ?? document.querySelector<HTMLElement>(`[data-fields="${CSS.escape(key)}"] :is(input, select)`));
}

/** Open the step where things of a list are added, and put the person onto the button that does it, or add what plays a channel. */
export async function leadToAdding(list: string, channel?: string): Promise<void> {
  if (channel) {
    const before = new Set(work.things.map((one) => one.key));
    await work.edit([{ do: "add channels", channel }]);
    const made = work.things.find((one) => !before.has(one.key));
    return made && leadToField(`${made.key}.at`);
  }
  await open(list);
  const buttons = [...document.querySelectorAll<HTMLButtonElement>("section.panel button.word")];
  const words = list.replaceAll("_", " ");
  const fits = [(text: string) => text === words, (text: string) => text.startsWith("add") && text.includes(words)];
  reach(fits.map((fit) => buttons.find((one) => fit(one.innerText.trim()))).find(Boolean) ?? null);
}

async function open(key: string): Promise<void> {
  const thing = work.things.find((one) => key === one.key || key.startsWith(`${one.key}.`));
  if (thing) work.select(thing.key);
  else if (stepOf(key)) work.step = stepOf(key);
  await tick();
  for (const one of document.querySelectorAll<HTMLElement>(`[data-fields]`)) {
    const path = one.dataset["fields"]!;
    if (path && (key === path || key.startsWith(`${path}.`) || holder(key) === path)) unfold(one);
  }
  await tick();
}

function unfold(one: Element): void {
  for (let at = one.closest("details"); at; at = at.parentElement?.closest("details") ?? null) at.open = true;
}

function reach(found: HTMLElement | null | undefined): void {
  if (!found) return document.getElementById("panel-name")?.scrollIntoView({ block: "start" });
  unfold(found);
  found.scrollIntoView({ block: "center" });
  found.focus({ preventScroll: true, focusVisible: true } as FocusOptions);
}
