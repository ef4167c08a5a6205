// SPDX-License-Identifier: Apache-2.0
// The keyboard and a presenter's clicker during a run.

export type KeyAct = "main" | "repeat" | "pause" | "back" | "stop";

export interface Key {
  key: string;
  repeat: boolean;
  ctrlKey: boolean;
  altKey: boolean;
  metaKey: boolean;
}

/** onTarget: the focus is on something that Enter and Space press by themselves; typing: in a field. */
export function actOf({ key, repeat, ctrlKey, altKey, metaKey }: Key, where: { onTarget: boolean; typing: boolean; open: boolean }): KeyAct | null {
  if (ctrlKey || altKey || metaKey || repeat) return null;
  if (key === "Escape") return where.open ? "back" : "pause";
  if (where.typing || where.open) return null;
  switch (key) {
    case "Enter":
    case " ": return where.onTarget ? null : "main";
    case "PageDown":
    case "ArrowRight": return "main";
    case "PageUp":
    case "ArrowLeft": return "repeat";
    case ".":  // the clicker's key for a dark screen
    case "b": return "pause";
    case "End": return "stop";
    default: return null;
  }
}
