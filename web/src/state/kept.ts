// SPDX-License-Identifier: Apache-2.0
// What stays in this browser. Storage may be refused or full; then the page works and forgets.

export function kept<T>(name: string, otherwise: T): T {
  try {
    const text = localStorage.getItem(`quietnorth.${name}`);
    return text === null ? otherwise : (JSON.parse(text) as T);
  } catch {
    return otherwise;
  }
}

export function keep(name: string, value: unknown): boolean {
  try {
    localStorage.setItem(`quietnorth.${name}`, JSON.stringify(value));
    return true;
  } catch {
    return false;
  }
}
