// A finding's advice on the page: where it names a key of the file, a word that leads to the field or button for it.

/** A piece of advice: words, or words that lead to a field (`key`), to where a thing is added, or that add it. */
export type Part = { words: string; key?: string; add?: string; channel?: string };

const MARKED = /`([^`]+)`|\[\[([a-z_.]+)\]\](?: with channel = "([^"]+)")?|\[([a-z_]+(?:\.[a-z_]+)+)\]/g;

const plain = (key: string): string => key.replaceAll("_", " ");

/** Where the thing stands that a finding's key is in: `model[2].power` is in `model[2]`, `system.layout` in `system`. */
export const holder = (key: string): string => key.replace(/\.[^.]*$/, "");

/**
 * Split advice into words and what they lead to.
 *
 * `` `at` `` is a field of the thing that the finding's key is in; `` `leak = true` `` is the same with a value;
 * `[[loudspeaker]]` is a list that something is added to; `[room.finishes]` a table by its whole path.
 */
export function parts(advice: string, key: string): Part[] {
  const found: Part[] = [];
  let from = 0;
  for (const match of advice.matchAll(MARKED)) {
    if (match.index > from) found.push({ words: advice.slice(from, match.index) });
    from = match.index + match[0].length;
    const [, field, list, channel, table] = match;
    if (field) found.push(toField(field, key));
    else if (list) found.push(channel ? { words: `${plain(list)} for ${channel}`, add: list, channel } : { words: plain(list), add: list });
    else found.push({ words: plain(table!.split(".").at(-1)!), key: table! });
  }
  if (from < advice.length) found.push({ words: advice.slice(from) });
  return found;
}

function toField(text: string, key: string): Part {
  const [name, value] = text.split(/\s*=\s*/, 2) as [string, string?];
  if (!/^[a-z_]+$/.test(name)) return { words: text };
  return { words: value ? `${plain(name)}: ${value.replaceAll('"', "")}` : plain(name), key: key ? `${holder(key)}.${name}` : name };
}

const STEPS: Record<string, string> = {
  room: "room", opening: "room", wall: "room", furniture: "room", radiator: "room", socket: "room", cover: "room", treatment: "room",
  seat: "seats", screen: "seats",
  system: "places", loudspeaker: "places", subwoofer: "places", amplifier: "places", model: "places", limits: "places",
  cable: "cable", costs: "cable", device: "signal", link: "signal", service: "signal",
};

/** The step of the job whose panel holds a key's field. */
export const stepOf = (key: string): string => STEPS[/^[a-z_]+/.exec(key)?.[0] ?? ""] ?? "";

type System = { name: string; shorthand: string };

/** Where a person chose a sound system by its short name, write that beside the standard's own. */
export function bothNames(text: string, chosen: string, systems: readonly System[]): string {
  const system = systems.find((one) => one.shorthand === chosen);
  if (!system || system.name === chosen) return text;
  return text.split(system.name).join(`${chosen} (${system.name})`);
}
