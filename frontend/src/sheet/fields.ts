// Fields of the project file from its published schema: what each key takes, how it is shown, and what was typed.
import type { SchemaNode } from "../api/calls";

export type Kind = "text" | "number" | "integer" | "quantity" | "range" | "yes" | "choice" | "finish" | "loose";
export type Nested = "numbers" | "words" | "table" | "tables" | "other";
export type Field = {
  key: string;
  kind: Kind | Nested;
  about: string;
  choices: string[];
  fallback: string;
  count: number;
  node: SchemaNode;
};

export function resolved(node: SchemaNode, root: SchemaNode): SchemaNode {
  const ref = node["$ref"] as string | undefined;
  return ref ? { ...root["$defs"][ref.split("/").at(-1)!], description: node["description"] } : node;
}

/** The schema of what stands at a key such as `limits.keep_out[0]`. */
export function schemaAt(key: string, root: SchemaNode, data: unknown): SchemaNode | null {
  let node: SchemaNode = root;
  let value: any = data;
  for (const step of key.match(/[A-Za-z_]+|\d+/g) ?? []) {
    const isNumber = /^\d/.test(step);
    const next = isNumber ? node["items"] : node["properties"]?.[step];
    if (!next) return null;
    value = value?.[isNumber ? Number(step) : step];
    node = oneOf(resolved(next, root), value, root);
  }
  return node;
}

/** Of several shapes, the one that the value's `kind` names, else the first. */
function oneOf(node: SchemaNode, value: any, root: SchemaNode): SchemaNode {
  const shapes = (node["oneOf"] ?? node["anyOf"]) as SchemaNode[] | undefined;
  if (!shapes?.some((shape) => shape["$ref"])) return node;
  const full = shapes.map((shape) => resolved(shape, root));
  const fits = (shape: SchemaNode): boolean => {
    const kind = shape["properties"]?.["kind"] ?? {};
    return kind["const"] === value?.kind || (kind["enum"] ?? []).includes(value?.kind ?? kind["default"]);
  };
  return full.find(fits) ?? full[0]!;
}

export function fieldsOf(node: SchemaNode, root: SchemaNode, skip: readonly string[] = []): Field[] {
  return Object.entries((node["properties"] ?? {}) as Record<string, SchemaNode>)
    .filter(([key]) => !skip.includes(key))
    .map(([key, inner]) => field(key, resolved(inner, root)));
}

function field(key: string, node: SchemaNode): Field {
  const kind = kindOf(node);
  return {
    key,
    kind,
    about: node["description"] ?? "",
    choices: (node["enum"] ?? []) as string[],
    fallback: typeof node["default"] === "string" ? node["default"] : "",
    count: (node["prefixItems"] ?? []).length,
    node,
  };
}

function kindOf(node: SchemaNode): Kind | Nested {
  const types = ((node["anyOf"] ?? []) as SchemaNode[]).map((one) => one["type"] as string);
  if (node["enum"]) return "choice";
  if (types.includes("array")) return types.includes("number") ? "range" : "other";
  if (types.includes("object")) return "finish";
  if (types.includes("number")) return "quantity";
  if (node["type"] === "array") return listKind(node);
  if (node["type"] === "object") return node["properties"] ? "table" : "other";
  if (node["type"] === "boolean") return "yes";
  if (node["type"] === "integer") return "integer";
  if (node["type"] === "number") return "number";
  if (node["type"] === "string") return "text";
  return node["type"] || node["anyOf"] ? "other" : "loose";
}

function listKind(node: SchemaNode): Nested {
  const items = node["items"] as SchemaNode | undefined;
  if (node["prefixItems"]) return node["prefixItems"].every((one: SchemaNode) => kindOf(one) === "text") ? "words" : "numbers";
  if (items?.["$ref"]) return "tables";
  return items?.["type"] === "string" ? "words" : "other";
}

export function shown(value: unknown): string {
  if (value === undefined || value === null) return "";
  if (Array.isArray(value)) return value.map(shown).join(value.length === 2 && typeof value[0] !== "string" ? " to " : ", ");
  return typeof value === "object" ? JSON.stringify(value) : String(value);
}

const NUMBER = /^-?\d+(\.\d+)?$/;

/** What was typed as the file will hold it; nothing where the field was emptied. */
export function typed(text: string, kind: Kind | Nested): unknown {
  const plain = text.trim();
  if (!plain) return null;
  const number = NUMBER.test(plain) ? Number(plain) : plain;
  if (kind === "quantity" || kind === "number" || kind === "loose") return number;
  if (kind === "integer") return /^-?\d+$/.test(plain) ? Number(plain) : plain;
  if (kind === "range") {
    const parts = plain.split(/\s+to\s+|\s*–\s*/);
    return parts.length === 2 ? parts.map((part) => typed(part, "quantity")) : number;
  }
  if (kind === "words") return plain.split(/\s*,\s*/).filter(Boolean);
  return plain;
}

export const words = (key: string): string => key.replaceAll("_", " ");

/** A group as the file will hold it: whole, nothing at all, or not yet and which of it are missing. */
export function group(texts: readonly string[]): { value?: unknown[] | null; missing: number[] } {
  const values = texts.map((text) => typed(text, "quantity"));
  const missing = values.flatMap((value, index) => (value === null ? [index] : []));
  if (missing.length === values.length) return { value: null, missing: [] };
  return missing.length ? { missing } : { value: values, missing };
}
