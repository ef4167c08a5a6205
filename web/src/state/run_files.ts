// SPDX-License-Identifier: Apache-2.0
// Which of the three files of a run one is, by its header: they may come in any order.

export type RunFile = "log" | "marks" | "equipment";

/** The names in the first line that is no comment. */
export function headerOf(text: string): string[] {
  const line = text.replace(/^\uFEFF/, "").split(/\r?\n/).find((one) => one.trim() !== "" && !one.startsWith("#")) ?? "";
  return line.split(/[,;\t]/).map((cell) => cell.trim().replace(/^"|"$/g, "").toLowerCase());
}

export function kindOfFile(text: string): RunFile {
  const names = headerOf(text);
  if (!names.includes("device")) return "log";
  return names.includes("state") && names.some((name) => name.startsWith("time")) ? "marks" : "equipment";
}
