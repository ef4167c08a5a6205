// SPDX-License-Identifier: Apache-2.0
// Something that is saved as a file, where the browser saves files.

export function save(bytes: Blob, name: string) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(bytes);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

export const stemOf = (name: string) => name.replace(/\.[^.]*$/, "");
