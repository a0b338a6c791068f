// Lengths as the project's people read them. The numbers are the plan's; here they only get their letters.
// Their spaces do not break, so that no length is read by its half.

const EIGHTHS = ["", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"];

export function length(metres: number, unit: string): string {
  return (unit === "ft" ? feet(metres) : `${metres.toFixed(2)} m`).replaceAll(" ", "\u00a0");
}

function feet(metres: number): string {
  const eighths = Math.round((Math.abs(metres) / 0.0254) * 8);
  const [whole, rest] = [Math.floor(eighths / 96), eighths % 96];
  const [inches, part] = [Math.floor(rest / 8), EIGHTHS[rest % 8]!];
  const told = inches || whole || !part;
  const text = `${told ? inches : ""}${part ? `${told ? " " : ""}${part}` : ""}″`;
  return `${metres < 0 && eighths ? "−" : ""}${whole ? `${whole}′ ` : ""}${text}`;
}
