// Groups of numbers that are half typed: kept on the page until the whole group can be saved, or what stands changes.
type Draft = { over: string; texts: string[] };

/** By the key of the group; what it was typed over tells when it holds no more. */
const drafts = $state<Record<string, Draft>>({});

export const draftOf = (key: string, over: string): string[] | null => {
  const draft = drafts[key];
  return draft?.over === over ? draft.texts : null;
};

export const keepDraft = (key: string, over: string, texts: string[]): void => void (drafts[key] = { over, texts });

export const dropDraft = (key: string): void => void delete drafts[key];
